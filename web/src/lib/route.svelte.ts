// Which screen and which engine: kept in the address after #, so that a reload, a bookmark and the back button work.

export const SCREENS = [
  { key: 'engines', name: 'Engines', question: 'Which engine is on the bench?', needs: 'nothing' },
  { key: 'verdict', name: 'Verdict', question: 'Does everything clear?', needs: 'engine' },
  { key: 'mock-up', name: 'Mock-up', question: 'Where does what meet?', needs: 'engine' },
  { key: 'cut', name: 'Cut', question: 'What has to be cut, and what does that leave?', needs: 'engine' },
  { key: 'volumes', name: 'Volumes', question: 'How many cc, and what compression?', needs: 'engine' },
  { key: 'motion', name: 'Motion', question: 'How are the valves moved?', needs: 'engine' },
  { key: 'payoff', name: 'Payoff', question: 'What does the change bring?', needs: 'engine' },
  { key: 'pulls', name: 'Pulls', question: 'What did the brake say?', needs: 'nothing' },
  { key: 'measure', name: 'Measure next', question: 'Which reading could change the verdict?', needs: 'engine' },
  { key: 'readings', name: 'Readings', question: 'What was measured?', needs: 'engine' },
  { key: 'sheet', name: 'Sheet', question: 'What does the sheet say?', needs: 'engine' },
  { key: 'shelf', name: 'Shelf', question: 'What does the shop own?', needs: 'nothing' },
] as const;

export type ScreenKey = (typeof SCREENS)[number]['key'];

export interface Subject {
  build: number;
  swap?: number;
}

class Route {
  screen = $state<ScreenKey>('engines');
  subject = $state<Subject | undefined>();

  constructor() {
    addEventListener('hashchange', () => this.#read());
    this.#read();
  }

  #read() {
    const [screen, build, , swap] = location.hash.replace(/^#\/?/, '').split('/');
    this.screen = SCREENS.find((known) => known.key === screen)?.key ?? 'engines';
    const number = Number(build);
    if (build && Number.isInteger(number)) {
      this.subject = { build: number, ...(swap ? { swap: Number(swap) } : {}) };
      localStorage.setItem('headroom.last', JSON.stringify(this.subject));
    } else if (!this.subject) {
      this.subject = remembered();
    }
  }

  forget() {
    this.subject = undefined;
    localStorage.removeItem('headroom.last');
  }
}

function remembered(): Subject | undefined {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem('headroom.last') ?? 'null');
    if (typeof kept === 'object' && kept !== null && 'build' in kept) return kept as Subject;
  } catch {
    // Nothing readable is kept: there is no last engine.
  }
  return undefined;
}

export const route = new Route();

export function address(screen: ScreenKey, subject: Subject | undefined = route.subject): string {
  if (!subject) return `#/${screen}`;
  return `#/${screen}/${subject.build}${subject.swap === undefined ? '' : `/swap/${subject.swap}`}`;
}

export function go(screen: ScreenKey, subject?: Subject) {
  location.hash = address(screen, subject);
}
