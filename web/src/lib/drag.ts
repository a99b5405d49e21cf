// Pulls a part of a drawing up or down by hand; reports how far in the drawing's own millimetres.
import type { Action } from 'svelte/action';

type Dragged = ((by: number, done: boolean) => void) | undefined;

export const drag: Action<SVGGraphicsElement, Dragged> = (node, first) => {
  let told = first;
  let from: number | undefined;

  const along = (event: PointerEvent) => {
    const matrix = node.ownerSVGElement?.getScreenCTM();
    return matrix ? event.clientY / matrix.d : 0;
  };
  const down = (event: PointerEvent) => {
    if (!told) return;
    node.setPointerCapture(event.pointerId);
    from = along(event);
    event.preventDefault();
  };
  const move = (event: PointerEvent) => {
    if (from === undefined) return;
    const now = along(event);
    told?.(now - from, false);
    from = now;
  };
  const up = () => {
    if (from === undefined) return;
    from = undefined;
    told?.(0, true);
  };
  node.addEventListener('pointerdown', down);
  node.addEventListener('pointermove', move);
  node.addEventListener('pointerup', up);
  node.addEventListener('pointercancel', up);
  return {
    update(next: Dragged) {
      told = next;
    },
    destroy() {
      node.removeEventListener('pointerdown', down);
      node.removeEventListener('pointermove', move);
      node.removeEventListener('pointerup', up);
      node.removeEventListener('pointercancel', up);
    },
  };
};
