/**
 * What people ask for that is no wood, or glue more than wood, and why it is not simply missing from the list. Knowledge of
 * the trade, from memory; no source was looked up. What is not named here is not thereby safe.
 */
const DANGERS: readonly (readonly [asked: RegExp, danger: string])[] = [
  [
    /\b(pvc|vinyl|polyvinyl|faux leather|artificial leather|imitation leather|leatherette)\b/,
    'which must never go under a laser: PVC gives off hydrogen chloride, which harms lungs and eats the machine',
  ],
  [
    /\b(chrome|chromed|chromium)\b.*\bleather\b|\bleather\b.*\b(chrome|chromium)\b/,
    'which must never go under a laser: chrome-tanned leather gives off poisonous chromium compounds',
  ],
  [
    /\b(ptfe|fluoropolymer)\b/,
    'which must never go under a laser: it gives off poisonous fluorine compounds',
  ],
  [
    /\babs\b/,
    'which must not go under a laser: it melts, catches fire and gives off poisonous fumes, hydrogen cyanide among them',
  ],
  [
    /\bpolycarbonate\b/,
    'which must not go under a laser: it chars, catches fire and gives off poisonous fumes instead of being cut',
  ],
  [
    /\b(polystyrene|foam|polypropylene|polyethylene|hdpe)\b/,
    'which must not go under a laser: it melts, drips and catches fire easily',
  ],
  [
    /\b(carbon fibre|carbon fiber|fibreglass|fiberglass|glass fibre|epoxy)\b/,
    'which must not go under a laser: its resin gives off poisonous fumes and its fibres a dust that harms lungs',
  ],
  [
    /\b(acrylic|pmma)\b/,
    'of which no forecast is made: its vapour harms and catches fire, burning drops fall from it, and clear sheets let a blue beam through onto what lies below',
  ],
  [
    /\b(mdf|hdf|chipboard|particle board|fibreboard|fiberboard)\b/,
    'of which no forecast is made: it holds much glue, so its smoke, with formaldehyde in it, and its fine dust are more harmful than those of wood, and it goes on glowing within',
  ],
];

/**
 * Why a material that is asked for is dangerous, as the rest of a sentence that names it; null: nothing is known of it here,
 * which is no clearance.
 */
export const dangerOf = (material: string): string | null =>
  DANGERS.find(([asked]) => asked.test(material.toLowerCase().replace(/[-_\s]+/g, ' ')))?.[1] ?? null;
