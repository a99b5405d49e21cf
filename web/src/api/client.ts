// The server's interface, with the types made from its own description; every request tells whether the server is there.
import createClient from 'openapi-fetch';

import { connection } from '../lib/connection.svelte';
import type { components, paths } from './schema';

export type Wire = components['schemas'];

async function watched(request: Request): Promise<Response> {
  try {
    const response = await fetch(request);
    connection.isThere(response.status);
    return response;
  } catch (error) {
    if (!request.signal.aborted) connection.isGone();
    throw error;
  }
}

export const api = createClient<paths>({ fetch: watched });

// The answer, or the sentence of the server as an error.
export async function answer<T>(asked: Promise<{ data?: T; error?: unknown }>): Promise<T> {
  const { data, error } = await asked;
  if (data !== undefined) return data;
  throw new Refused(error as Wire['Failure'] | undefined);
}

// Why the server did not answer.
export class Refused extends Error {
  readonly failure: Wire['Failure'] | undefined;

  constructor(failure: Wire['Failure'] | undefined) {
    super(failure?.what ?? 'the bench gave no reason');
    this.failure = failure;
  }
}
