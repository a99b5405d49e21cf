// The cylinder in three dimensions: block and head cut open at the bore axis, gasket, piston and valves that move. The bore
// frame of the server has z to the head; so has this scene.
import {
  AmbientLight,
  Color,
  DirectionalLight,
  DoubleSide,
  ExtrudeGeometry,
  Group,
  LatheGeometry,
  Mesh,
  MeshStandardMaterial,
  Path,
  PerspectiveCamera,
  Scene,
  Shape,
  Quaternion,
  Vector2,
  Vector3,
  WebGLRenderer,
  SphereGeometry,
  CylinderGeometry,
  type BufferGeometry,
} from 'three';

import type { Wire } from '../api/client';
import { corners, type Point } from './outline';
import { worstFirst, type Cylinder, type Hands, type ValveScene } from './stand';

const UP = new Vector3(0, 0, 1);

export class Solid {
  readonly #renderer: WebGLRenderer;
  readonly #scene = new Scene();
  readonly #camera = new PerspectiveCamera(32, 16 / 9, 1, 2000);
  readonly #canvas: HTMLCanvasElement;
  readonly #watch: ResizeObserver;
  #still = new Group();
  #stillOf = '';
  #moving = new Group();
  #bore = 80;
  #around = 0.45;
  #above = 0.5;
  #frame = 0;

  constructor(canvas: HTMLCanvasElement) {
    this.#canvas = canvas;
    this.#renderer = new WebGLRenderer({ canvas, antialias: true, preserveDrawingBuffer: true });
    this.#camera.up.copy(UP);
    const sun = new DirectionalLight(0xffffff, 2.2);
    sun.position.set(120, -180, 260);
    const sky = new DirectionalLight(0xffffff, 0.9);
    sky.position.set(-160, 120, 80);
    this.#scene.add(new AmbientLight(0xffffff, 0.9), sun, sky, this.#still, this.#moving);
    this.#watch = new ResizeObserver(() => this.#draw());
    this.#watch.observe(canvas);
    canvas.addEventListener('pointerdown', this.#down);
    canvas.addEventListener('pointermove', this.#move);
  }

  close() {
    this.#watch.disconnect();
    cancelAnimationFrame(this.#frame);
    this.#canvas.removeEventListener('pointerdown', this.#down);
    this.#canvas.removeEventListener('pointermove', this.#move);
    this.#empty(this.#still);
    this.#empty(this.#moving);
    this.#renderer.dispose();
  }

  turn(around: number, above: number) {
    this.#around += around;
    this.#above = Math.min(1.45, Math.max(-0.4, this.#above + above));
    this.#draw();
  }

  show(cylinder: Cylinder, stand: Wire['StandWire'] | undefined, hands: Hands) {
    this.#bore = cylinder.bore_diameter_mm;
    const still = JSON.stringify([cylinder.number, hands.gasket, hands.shiftFront, hands.shiftLeft, document.documentElement.dataset.theme, cylinder.bore_diameter_mm]);
    if (still !== this.#stillOf) {
      this.#stillOf = still;
      this.#empty(this.#still);
      this.#block(cylinder, hands);
    }
    this.#empty(this.#moving);
    const crown = stand?.crown_mm;
    if (crown != null) this.#piston(cylinder, crown);
    for (const valve of cylinder.valves) {
      const face = stand?.valves.find((known) => known.name === valve.name)?.face_center_mm ?? valve.seated_mm;
      this.#valve(valve, hands.diameters[valve.name] ?? valve.head_diameter_mm, face);
    }
    const worst = worstFirst(stand?.gaps ?? []).find((gap) => gap.valve && gap.place.surface !== 'anywhere');
    if (worst) {
      const mark = new Mesh(new SphereGeometry(1.4, 20, 12), this.#paint(`--${worst.status}`));
      mark.position.set(worst.point_mm[0] ?? 0, worst.point_mm[1] ?? 0, worst.point_mm[2] ?? 0);
      this.#moving.add(mark);
    }
    this.#draw();
  }

  // Metal behind the cut: the half with y > 0, as a plate with the bore taken out.
  #block(cylinder: Cylinder, hands: Hands) {
    const half = cylinder.bore_diameter_mm / 2 + 14;
    const plate = (hole: Point[], thick: number, at: number, colour: string) => {
      const shape = new Shape();
      const inside = hole.filter(([, y]) => y >= 0).sort(([a], [b]) => b - a);
      const [right, left] = [inside[0]?.[0] ?? 0, inside.at(-1)?.[0] ?? 0];
      shape.moveTo(half, 0);
      shape.lineTo(half, half);
      shape.lineTo(-half, half);
      shape.lineTo(-half, 0);
      shape.lineTo(left, 0);
      for (const [x, y] of [...inside].reverse()) shape.lineTo(x, y);
      shape.lineTo(right, 0);
      shape.closePath();
      const mesh = new Mesh(new ExtrudeGeometry(shape, { depth: thick, bevelEnabled: false, curveSegments: 48 }), this.#paint(colour));
      mesh.position.z = at;
      this.#still.add(mesh);
    };
    const round = (r: number): Point[] =>
      Array.from({ length: 192 }, (_, idx) => [r * Math.cos((idx / 96) * Math.PI), r * Math.sin((idx / 96) * Math.PI)]);
    plate(round(cylinder.bore_diameter_mm / 2), 62, -62, '--iron');
    plate(corners(cylinder.gasket_opening), hands.gasket, 0, '--gasket');
    const chamber = corners(cylinder.chamber).map(([x, y]) => [x + hands.shiftFront, y + hands.shiftLeft] as Point);
    plate(chamber, Math.max(1, cylinder.chamber_wall_height_mm), hands.gasket, '--alloy');
  }

  #piston(cylinder: Cylinder, crown: number) {
    const r = cylinder.bore_diameter_mm / 2 - cylinder.land_clearance_mm;
    const shape = new Shape().absarc(0, 0, r, 0, 2 * Math.PI, false);
    for (const pocket of cylinder.pockets) {
      if (Math.hypot(pocket.x_mm, pocket.y_mm) + pocket.diameter_mm / 2 < r) {
        shape.holes.push(new Path().absarc(pocket.x_mm, pocket.y_mm, pocket.diameter_mm / 2, 0, 2 * Math.PI, true));
      }
    }
    const deepest = Math.max(0, ...cylinder.pockets.map((pocket) => pocket.depth_mm));
    const paint = this.#paint('--crown');
    if (deepest > 0) {
      const top = new Mesh(new ExtrudeGeometry(shape, { depth: deepest, bevelEnabled: false, curveSegments: 64 }), paint);
      top.position.z = crown - deepest;
      this.#moving.add(top);
    }
    const body = new Mesh(new CylinderGeometry(r, r, 40, 96), paint);
    body.rotation.x = Math.PI / 2;
    body.position.z = crown - deepest - 20;
    this.#moving.add(body);
  }

  #valve(valve: ValveScene, diameter: number, face: readonly number[]) {
    const r = diameter / 2;
    const stem = valve.stem_diameter_mm / 2;
    const seat = 0.09 * diameter;
    const rise = valve.margin_mm + seat * Math.tan((valve.seat_angle_deg * Math.PI) / 180);
    const neck = rise + 0.42 * diameter;
    const outline = [new Vector2(0, 0), new Vector2(r, 0), new Vector2(r, valve.margin_mm), new Vector2(r - seat, rise)];
    for (let idx = 1; idx <= 12; idx += 1) {
      const t = idx / 12;
      const ease = (1 - t) ** 2.6;
      outline.push(new Vector2(stem + (r - seat - stem) * ease, rise + (neck - rise) * t));
    }
    outline.push(new Vector2(stem, neck + 46), new Vector2(0, neck + 46));
    const mesh = new Mesh(new LatheGeometry(outline, 72), this.#paint(valve.duty === 'intake' ? '--intake' : '--exhaust'));
    // A lathe turns about y; the valve's axis is given.
    const [x = 0, y = 0, z = 1] = valve.axis;
    mesh.quaternion.copy(new Quaternion().setFromUnitVectors(new Vector3(0, 1, 0), new Vector3(x, y, z).normalize()));
    mesh.position.set(face[0] ?? 0, face[1] ?? 0, face[2] ?? 0);
    this.#moving.add(mesh);
  }

  #paint(name: string): MeshStandardMaterial {
    const colour = getComputedStyle(document.documentElement).getPropertyValue(name).trim();
    return new MeshStandardMaterial({ color: new Color(colour), roughness: 0.55, metalness: 0.25, side: DoubleSide });
  }

  #empty(group: Group) {
    for (const child of [...group.children]) {
      group.remove(child);
      if (child instanceof Mesh) {
        (child.geometry as BufferGeometry).dispose();
        (child.material as MeshStandardMaterial).dispose();
      }
    }
  }

  readonly #down = (event: PointerEvent) => {
    this.#canvas.setPointerCapture(event.pointerId);
  };

  readonly #move = (event: PointerEvent) => {
    if (event.buttons !== 1) return;
    this.turn(-event.movementX / 180, event.movementY / 220);
  };

  #draw() {
    cancelAnimationFrame(this.#frame);
    this.#frame = requestAnimationFrame(() => {
      const { clientWidth: width, clientHeight: height } = this.#canvas;
      if (width === 0 || height === 0) return;
      this.#renderer.setPixelRatio(Math.min(2, devicePixelRatio));
      this.#renderer.setSize(width, height, false);
      const paper = getComputedStyle(document.documentElement).getPropertyValue('--sunk').trim();
      this.#scene.background = new Color(paper);
      const far = 4.1 * this.#bore;
      const flat = Math.cos(this.#above) * far;
      this.#camera.position.set(Math.cos(this.#around - Math.PI / 2) * flat, Math.sin(this.#around - Math.PI / 2) * flat, Math.sin(this.#above) * far);
      this.#camera.lookAt(0, 0, -4);
      this.#camera.aspect = width / height;
      this.#camera.updateProjectionMatrix();
      this.#renderer.render(this.#scene, this.#camera);
    });
  }
}
