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
  const head = [xName, ...lines.map((line) => line.name)].map(quote).join(',');
  const rows = xs.map((x) => [x, ...lines.map((line) => at(line.points, x)?.toPrecision(6) ?? '')].join(','));
  return `${head}\n${rows.join('\n')}\n`;
}
