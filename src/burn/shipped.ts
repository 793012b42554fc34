import { type Material, readMaterial } from './material.ts';
import basswood from './materials/basswood.json' with { type: 'json' };
import beech from './materials/beech.json' with { type: 'json' };
import birchPlywood from './materials/birch-plywood.json' with { type: 'json' };
import card from './materials/card.json' with { type: 'json' };
import leatherLike from './materials/leather-like.json' with { type: 'json' };
import poplarPlywood from './materials/poplar-plywood.json' with { type: 'json' };
import spruce from './materials/spruce.json' with { type: 'json' };

/**
 * The profiles that come with Charcast, by the name a person types. None was measured on a diode engraver:
 * each number says what it was derived from, or that it is a guess.
 */
export const shippedMaterials: Readonly<Record<string, Material>> = Object.fromEntries(
  [poplarPlywood, birchPlywood, basswood, spruce, beech, leatherLike, card]
    .map((profile) => readMaterial(profile, profile.name))
    .map((material) => [material.name, material]),
);
