// The readings a first answer rests on, in the order one takes them at the bench: block and deck first, then gasket and
// head, then piston, then cam and train, with the engine turned as little as possible.

export interface Step {
  name: string;
  // How the paths begin that belong to it.
  why: string;
  paths: string[];
}

export function steps(valves: readonly string[]): Step[] {
  const ofValve = (name: string): Step => ({
    name: `${name.replaceAll('_', ' ')} valve`.replace(/^./, (first) => first.toUpperCase()),
    why: 'In its head, seated. Positions are taken on the gasket face, from the bore axis.',
    paths: ['head_diameter', 'margin', 'stem_diameter', 'seat_angle', 'x', 'y', 'recess', 'tilt_x', 'tilt_y'].map(
      (key) => `head.valve.${name}.${key}`,
    ),
  });
  const ofCam = (duty: string): Step => ({
    name: `${duty === 'intake' ? 'Intake' : 'Exhaust'} cam`,
    why: 'From the cam card, then degreed in the engine: how far the valve travels counts most.',
    paths: [
      ...['valve_lift', 'lobe_lift', 'centreline', 'installed_advance', 'duration.at', 'duration.lasts'].map(
        (key) => `cam.${duty}.${key}`,
      ),
    ],
  });
  const ofTrain = (duty: string): Step => ({
    name: `${duty === 'intake' ? 'Intake' : 'Exhaust'} train`,
    why: 'What carries the lobe to the valve. It is needed once the lobe itself is described, by its duration.',
    paths: ['follower', 'ratio', 'face_diameter', 'lash_cold', 'lash_hot'].map((key) => `train.${duty}.${key}`),
  });
  return [
    {
      name: 'Block',
      why: 'Bare or on the stand, deck clean.',
      paths: ['bore', 'stroke', 'rod_length', 'chamfer_width', 'chamfer_depth', 'bore_spacing'].map((key) => `block.${key}`),
    },
    {
      name: 'Piston',
      why: 'At top dead centre, rocked over the pin, deck gauge across the bore.',
      paths: ['deck_offset', 'crown_volume', 'top_land_height'].map((key) => `piston.${key}`),
    },
    {
      name: 'Gasket',
      why: 'The one that will be used, or one that was crushed.',
      paths: ['thickness', 'opening'].map((key) => `gasket.${key}`),
    },
    {
      name: 'Head',
      why: 'On the bench, chamber up, valves and plug in.',
      paths: ['chamber_volume', 'chamber_diameter', 'chamber_wall_height', 'bore_spacing'].map((key) => `head.${key}`),
    },
    ...valves.map(ofValve),
    ofCam('intake'),
    ofTrain('intake'),
    ofCam('exhaust'),
    ofTrain('exhaust'),
  ];
}
