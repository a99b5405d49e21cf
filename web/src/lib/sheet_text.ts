// Readings in a sheet's text, line by line, so that everything else in it stays as somebody wrote it.

// A section of a sheet: the lines between its heading and the next.
interface Section {
  path: string;
  from: number;
  to: number;
}

// Where a reading is: `head.valve.intake.x` is in the `[[head.valve]]` called intake, `cam.intake.duration.at` in the first
// `[[cam.intake.duration]]`.
interface Place {
  heading: string;
  list: boolean;
  // Name that tells one of a list from the others.
  named: string | undefined;
  key: string;
}

function place(path: string): Place {
  const words = path.split('.');
  const key = words.pop() ?? '';
  if (words[0] === 'head' && words[1] === 'valve') return { heading: 'head.valve', list: true, named: words[2], key };
  const heading = words.join('.');
  return { heading, list: words.at(-1) === 'duration', named: undefined, key };
}

function sections(lines: string[]): Section[] {
  const all: Section[] = [{ path: '', from: 0, to: lines.length }];
  lines.forEach((line, idx) => {
    const heading = /^\s*(\[\[?)\s*([^\]]+?)\s*\]\]?\s*(#.*)?$/.exec(line);
    if (!heading) return;
    const last = all.at(-1);
    if (last) last.to = idx;
    all.push({ path: heading[2] ?? '', from: idx + 1, to: lines.length });
  });
  return all;
}

const ENTRY = /^\s*([A-Za-z0-9_]+)\s*=\s*(.*)$/;

function entry(lines: string[], { from, to }: Section, key: string): number | undefined {
  for (let idx = from; idx < to; idx += 1) if (ENTRY.exec(lines[idx] ?? '')?.[1] === key) return idx;
  return undefined;
}

// The text between the quotes, and what stands behind them.
function unquoted(text: string): { value: string; rest: string } {
  const quoted = /^"((?:[^"\\]|\\.)*)"(.*)$/.exec(text) ?? /^'([^']*)'(.*)$/.exec(text);
  if (!quoted) return { value: text.replace(/\s*#.*$/, '').trim(), rest: '' };
  return { value: (quoted[1] ?? '').replaceAll(/\\(.)/g, '$1'), rest: quoted[2] ?? '' };
}

function quoted(value: string): string {
  return `"${value.replaceAll('\\', '\\\\').replaceAll('"', '\\"')}"`;
}

function find(lines: string[], { heading, named }: Place): Section | undefined {
  return sections(lines).find((section) => {
    if (section.path !== heading) return false;
    if (named === undefined) return true;
    const at = entry(lines, section, 'name');
    return at !== undefined && unquoted(ENTRY.exec(lines[at] ?? '')?.[2] ?? '').value === named;
  });
}

// What is written for a reading; empty where nothing is.
export function reading(text: string, path: string): string {
  const lines = text.split('\n');
  const where = place(path);
  const section = find(lines, where);
  const at = section && entry(lines, section, where.key);
  return at === undefined ? '' : unquoted(ENTRY.exec(lines[at] ?? '')?.[2] ?? '').value;
}

// The sheet with another value for a reading; an empty one takes the line out.
export function withReading(text: string, path: string, value: string): string {
  const lines = text.split('\n');
  const where = place(path);
  let section = find(lines, where);
  if (!section) {
    if (value === '') return text;
    while (lines.at(-1)?.trim() === '') lines.pop();
    lines.push('', where.list ? `[[${where.heading}]]` : `[${where.heading}]`);
    if (where.named !== undefined) lines.push(`name = ${quoted(where.named)}`, `duty = ${quoted(where.named.split('_')[0] ?? '')}`);
    lines.push(`${where.key} = ${quoted(value)}`, '');
    return lines.join('\n');
  }
  const at = entry(lines, section, where.key);
  if (at !== undefined) {
    const rest = unquoted(ENTRY.exec(lines[at] ?? '')?.[2] ?? '').rest;
    if (value === '') lines.splice(at, 1);
    else lines[at] = `${where.key} = ${quoted(value)}${rest}`;
    return lines.join('\n');
  }
  if (value === '') return text;
  let end = section.to;
  while (end > section.from && /^\s*(#.*)?$/.test(lines[end - 1] ?? '')) end -= 1;
  lines.splice(end, 0, `${where.key} = ${quoted(value)}`);
  return lines.join('\n');
}

// Names and duties of the valves that a sheet has.
export function valves(text: string): string[] {
  const lines = text.split('\n');
  return sections(lines)
    .filter(({ path }) => path === 'head.valve')
    .map((section) => entry(lines, section, 'name'))
    .map((at) => (at === undefined ? '' : unquoted(ENTRY.exec(lines[at] ?? '')?.[2] ?? '').value))
    .filter((name) => name !== '');
}

function named(duty: string, count: number): string[] {
  if (count === 1) return [duty];
  return Array.from({ length: count }, (_, idx) => {
    if (idx === 0) return `${duty}_front`;
    return idx + 1 === count ? `${duty}_rear` : `${duty}_${idx + 1}`;
  });
}

// A sheet of which only the layout is known.
export function emptySheet(name: string, cylinders: number, intakes: number, exhausts: number): string {
  const valve = (duty: string) => (own: string) => `[[head.valve]]\nname = "${own}"\nduty = "${duty}"\n`;
  return [
    `format = 1\nname = ${quoted(name)}\n`,
    `[engine]\ncylinders = ${cylinders}\n`,
    '[block]\n',
    '[gasket]\n',
    '[head]\n',
    ...named('intake', intakes).map(valve('intake')),
    ...named('exhaust', exhausts).map(valve('exhaust')),
    '[piston]\n',
    '[cam.intake]\n',
    '[cam.exhaust]\n',
  ].join('\n');
}
