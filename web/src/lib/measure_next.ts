// Which readings to take next: those that the doubt about a finding comes from, where that doubt could turn it over.
import type { Wire } from '../api/client';

type Finding = Wire['FindingWire'];

export interface Next {
  path: string;
  basis: string;
  findings: { finding: Finding; share: number }[];
}

// A chance from here to one less this is a doubt.
const DOUBT = 0.02;

function inDoubt(finding: Finding): number {
  const under = finding.chance_under_limit ?? 0;
  const hits = finding.chance_of_hitting ?? 0;
  return Math.max(Math.min(under, 1 - under), Math.min(hits, 1 - hits));
}

export function measureNext(findings: readonly Finding[]): Next[] {
  const all = new Map<string, Next>();
  const add = (path: string, basis: string, finding: Finding, share: number) => {
    const known = all.get(path) ?? { path, basis, findings: [] };
    known.findings.push({ finding, share });
    all.set(path, known);
  };
  for (const finding of findings) {
    if (finding.status === 'unmeasured') {
      for (const cure of finding.cures) if (cure.change === 'measure') add(cure.path, 'missing', finding, 1);
    } else if (finding.weakest_reading && inDoubt(finding) > DOUBT) {
      const { path, basis, share_of_variance: share } = finding.weakest_reading;
      add(path, basis, finding, share);
    }
  }
  const weight = (next: Next) => Math.max(...next.findings.map(({ finding, share }) => inDoubt(finding) * share));
  return [...all.values()].sort((a, b) => weight(b) - weight(a));
}
