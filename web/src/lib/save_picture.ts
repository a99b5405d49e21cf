// A drawing on the screen as a file: SVG that stands alone, PNG at twice its size, or a 1920 by 1080 slide, light or dark.

const KEPT = [
  'fill',
  'fill-opacity',
  'stroke',
  'stroke-width',
  'stroke-opacity',
  'stroke-dasharray',
  'stroke-linecap',
  'stroke-linejoin',
  'opacity',
  'font-size',
  'font-weight',
  'font-family',
  'text-anchor',
  'dominant-baseline',
  'paint-order',
  'vector-effect',
  'visibility',
  'display',
] as const;

export type Ground = 'light' | 'dark';

// The drawing with every style written into it, as it looks on light or dark ground.
function standing(svg: SVGSVGElement, ground: Ground): SVGSVGElement {
  const root = document.documentElement;
  const before = root.dataset.theme;
  root.dataset.theme = ground;
  const copy = svg.cloneNode(true) as SVGSVGElement;
  const from = [svg, ...svg.querySelectorAll<SVGElement>('*')];
  const to = [copy, ...copy.querySelectorAll<SVGElement>('*')];
  from.forEach((element, idx) => {
    const target = to[idx];
    if (!target) return;
    const style = getComputedStyle(element);
    for (const name of KEPT) target.setAttribute(name, style.getPropertyValue(name));
    target.removeAttribute('class');
    target.removeAttribute('style');
    target.removeAttribute('tabindex');
  });
  copy.querySelectorAll('[data-screen-only]').forEach((element) => element.remove());
  copy.setAttribute('xmlns', 'http://www.w3.org/2000/svg');
  root.dataset.theme = before;
  return copy;
}

function ground(theme: Ground): string {
  const root = document.documentElement;
  const before = root.dataset.theme;
  root.dataset.theme = theme;
  const paper = getComputedStyle(root).getPropertyValue('--card').trim();
  root.dataset.theme = before;
  return paper;
}

function box(svg: SVGSVGElement): DOMRect {
  return svg.viewBox.baseVal as unknown as DOMRect;
}

function text(svg: SVGSVGElement): string {
  return new XMLSerializer().serializeToString(svg);
}

function background(copy: SVGSVGElement, paper: string) {
  const { x, y, width, height } = box(copy);
  const rect = document.createElementNS(copy.namespaceURI, 'rect');
  for (const [name, value] of Object.entries({ x, y, width, height, fill: paper })) rect.setAttribute(name, `${value}`);
  copy.prepend(rect);
}

export function svgText(svg: SVGSVGElement, theme: Ground): string {
  const copy = standing(svg, theme);
  background(copy, ground(theme));
  const { width, height } = svg.getBoundingClientRect();
  copy.setAttribute('width', `${Math.round(width)}`);
  copy.setAttribute('height', `${Math.round(height)}`);
  return text(copy);
}

// One or several drawings side by side on a slide with a heading.
function slideText(all: SVGSVGElement[], heading: string, theme: Ground): string {
  const paper = ground(theme);
  const ink = theme === 'dark' ? '#e8edeb' : '#182026';
  const width = (1920 - 120 - 40 * (all.length - 1)) / all.length;
  const drawings = all.map((svg, idx) => {
    const copy = standing(svg, theme);
    copy.setAttribute('x', `${60 + idx * (width + 40)}`);
    copy.setAttribute('y', '130');
    copy.setAttribute('width', `${width}`);
    copy.setAttribute('height', '900');
    return text(copy);
  });
  const words = heading.replaceAll('&', '&amp;').replaceAll('<', '&lt;');
  return `<svg xmlns="http://www.w3.org/2000/svg" width="1920" height="1080" viewBox="0 0 1920 1080"><rect width="1920" height="1080" fill="${paper}"/><text x="60" y="84" font-family="DejaVu Sans, sans-serif" font-size="40" font-weight="600" fill="${ink}">${words}</text>${drawings.join('')}</svg>`;
}

async function png(svg: string, width: number, height: number): Promise<Blob> {
  const url = URL.createObjectURL(new Blob([svg], { type: 'image/svg+xml' }));
  try {
    const image = new Image();
    await new Promise((resolve, reject) => {
      image.onload = resolve;
      image.onerror = () => reject(new Error('the picture could not be drawn'));
      image.src = url;
    });
    const canvas = document.createElement('canvas');
    canvas.width = width;
    canvas.height = height;
    canvas.getContext('2d')?.drawImage(image, 0, 0, width, height);
    return await new Promise((resolve, reject) =>
      canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error('the picture is too large'))), 'image/png'),
    );
  } finally {
    URL.revokeObjectURL(url);
  }
}

export function download(name: string, content: Blob | string, type = 'text/plain') {
  const url = URL.createObjectURL(typeof content === 'string' ? new Blob([content], { type }) : content);
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}

export async function save(
  all: SVGSVGElement[],
  how: 'svg' | 'png' | 'slide-light' | 'slide-dark',
  name: string,
  heading: string,
) {
  const [first] = all;
  if (!first) return;
  const shown: Ground = document.documentElement.dataset.theme === 'dark' ? 'dark' : 'light';
  if (how === 'svg' || how === 'png') {
    for (const [idx, svg] of all.entries()) {
      const own = all.length > 1 ? `${name}-${idx + 1}` : name;
      if (how === 'svg') {
        download(`${own}.svg`, svgText(svg, shown), 'image/svg+xml');
      } else {
        const { width, height } = svg.getBoundingClientRect();
        download(`${own}.png`, await png(svgText(svg, shown), Math.round(2 * width), Math.round(2 * height)));
      }
    }
    return;
  }
  const theme = how === 'slide-dark' ? 'dark' : 'light';
  download(`${name}-1920x1080-${theme}.png`, await png(slideText(all, heading, theme), 1920, 1080));
}
