// What each reading of a sheet means and how it is measured, as the server describes it.
import { answer, api } from '../api/client';

interface Schema {
  description?: string;
  examples?: string[];
  enum?: string[];
  properties?: Record<string, Schema>;
  items?: Schema;
}

export interface Meaning {
  description: string;
  example: string;
  // Words that can stand there, where not everything can.
  choices: string[];
}

let schema: Promise<Schema> | undefined;

export function vocabulary(): Promise<Schema> {
  schema ??= answer(api.GET('/api/schema/build')).catch((error: unknown) => {
    schema = undefined;
    throw error;
  });
  return schema as Promise<Schema>;
}

export function meaning(root: Schema, path: string): Meaning {
  // The name of a valve is no key.
  const words = path.replace(/^head\.valve\.[^.]+/, 'head.valve').split('.');
  let at: Schema | undefined = root;
  for (const word of words) {
    at = at?.properties?.[word];
    if (at?.items) at = at.items;
  }
  return {
    // How far a number may go is told when it goes too far.
    description: (at?.description ?? '').replace(/ Allowed: .*?\.(?= |$)/, ''),
    example: at?.examples?.[0] ?? '',
    choices: at?.enum ?? [],
  };
}
