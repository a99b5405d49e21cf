// Axes and lines of a chart: round steps, paths, the value of a line between its points.

export type Pair = [number, number];

export interface Line {
  name: string;
  points: Pair[];
  // One of the colours of the look, as a custom property.
  colour: string;
  dash?: string;
  // Half-width of the uncertainty at each point, where it is known.
  band?: number[];
}

// About `count` round values that cover a range.
export function ticks(low: number, high: number, count: number): number[] {
  const rough = (high - low) / Math.max(1, count);
  if (!(rough > 0)) return [low];
  const tens = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 2.5, 5, 10].map((m) => m * tens).find((s) => s >= rough * 0.999) ?? rough;
  const all: number[] = [];
  for (let at = Math.ceil(low / step - 1e-9) * step; at <= high + step * 1e-9; at += step) {
    all.push(Math.abs(at) < step * 1e-9 ? 0 : at);
  }
  return all;
}

export function at(points: readonly Pair[], x: number): number | undefined {
  for (let idx = 1; idx < points.length; idx += 1) {
    const [ax, ay] = points[idx - 1] ?? [0, 0];
    const [bx, by] = points[idx] ?? [0, 0];
    if (ax <= x && x <= bx) return bx === ax ? ay : ay + ((by - ay) * (x - ax)) / (bx - ax);
  }
  return undefined;
}

export function csv(xName: string, lines: readonly Line[]): string {
  const xs = [...new Set(lines.flatMap((line) => line.points.map(([x]) => x)))].sort((a, b) => a - b);
  const quote = (text: string) => `"${text.replaceAll('"', '""')}"`;
  // A line with a band has columns for its edges beside it.
  const columns = lines.flatMap((line) => {
    const half = line.points.map(([x], idx): Pair => [x, line.band?.[idx] ?? 0]);
    const edge = (way: number) => (x: number) => (at(line.points, x) ?? NaN) + way * (at(half, x) ?? NaN);
    const own = { name: line.name, value: (x: number) => at(line.points, x) ?? NaN };
    if (!line.band) return [own];
    return [own, { name: `${line.name}, low`, value: edge(-1) }, { name: `${line.name}, high`, value: edge(1) }];
  });
  const head = [xName, ...columns.map(({ name }) => name)].map(quote).join(',');
  const number = (value: number) => (Number.isNaN(value) ? '' : value.toPrecision(6));
  const rows = xs.map((x) => [x, ...columns.map(({ value }) => number(value(x)))].join(','));
  return `${head}\n${rows.join('\n')}\n`;
}
