import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { suggest } from '../../src/suggest/suggest.ts';
import { mmPerSToMmPerMin } from '../../src/units.ts';
import { benchGantry } from '../support/demo-machines.ts';
import { go, reportOn, SLOW, settle, smallMarker, useWorld } from './world.ts';

const world = useWorld();

describe('speed and power', () => {
  test(
    'an operation is a point: dragged, or moved by keys, job and sentence follow; a proposal is taken by a press',
    async () => {
      const own = await world.open({ jobs: await smallMarker() });
      await settle(own);
      await go(own, 'Speed and power');
      const first = own.getByRole('button', { name: /^Operation 1:/ });
      const named = () => first.getAttribute('aria-label');
      expect(await named()).toContain('3000 mm/min with 60 % power');
      await first.focus();
      await own.keyboard.press('ArrowUp');
      await own.keyboard.press('Shift+ArrowLeft');
      const feed = async () => Number(/: (\d+) mm/.exec((await named())!)![1]);
      await expect.poll(named).toContain('61 % power');
      expect(Math.abs((await feed()) / (3000 / 1.02 ** 10) - 1)).toBeLessThan(0.03);
      expect(await own.getByLabel('power of operation 1').inputValue()).toBe('61');
      expect(Number(await own.getByLabel('speed of operation 1').inputValue())).toBe(await feed());

      const box = (await first.boundingBox())!;
      await own.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
      await own.mouse.down();
      await own.mouse.move(box.x + 20, box.y - 30, { steps: 4 });
      await own.mouse.up();
      await expect
        .poll(async () => Number(await own.getByLabel('power of operation 1').inputValue()))
        .toBeGreaterThan(65);
      await settle(own);
      expect((await reportOn(own)).operations[0]!.feed_mm_min).toBe(await feed());
      // A drag is one step.
      await own.getByRole('button', { name: 'undo' }).click();
      await expect.poll(named).toContain('61 % power');

      await own.getByLabel('what is wanted').selectOption('char');
      const [best] = suggest(
        { kind: 'region', region: 'char' },
        shippedMaterials['poplar plywood']!,
        benchGantry,
        {
          thicknessMm: 4,
          use: 'rows',
        },
      ).suggestions;
      await own.getByRole('button', { name: 'Take it for operation 1' }).first().click();
      await settle(own);
      const [made] = (await reportOn(own)).operations;
      expect(made!.feed_mm_min).toBeCloseTo(mmPerSToMmPerMin(best!.speedMmPerS), 3);
      expect(await own.getByLabel('power mode of operation 1').inputValue()).toBe('proportional');
      await own.context().close();
    },
    SLOW,
  );
});
