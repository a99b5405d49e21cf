// What a person set: units and theme. Kept in this browser.

export type System = 'metric' | 'inch';
export type Theme = 'system' | 'light' | 'dark';

function kept<T extends string>(key: string, known: readonly T[], usual: T): T {
  const found = localStorage.getItem(`headroom.${key}`);
  return known.find((value) => value === found) ?? usual;
}

class Settings {
  units = $state<System>(kept('units', ['metric', 'inch'], 'metric'));
  theme = $state<Theme>(kept('theme', ['system', 'light', 'dark'], 'system'));
  #dark = matchMedia('(prefers-color-scheme: dark)');

  constructor() {
    this.#dark.addEventListener('change', () => this.#paint());
    this.#paint();
  }

  setUnits(units: System) {
    this.units = units;
    localStorage.setItem('headroom.units', units);
  }

  setTheme(theme: Theme) {
    this.theme = theme;
    localStorage.setItem('headroom.theme', theme);
    this.#paint();
  }

  #paint() {
    const dark = this.theme === 'dark' || (this.theme === 'system' && this.#dark.matches);
    document.documentElement.dataset.theme = dark ? 'dark' : 'light';
  }
}

export const settings = new Settings();
