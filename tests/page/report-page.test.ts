import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { compareForecasts } from '../../src/compare/compare.ts';
import { forecast } from '../../src/forecast.ts';
import { reportPage } from '../../src/page/report-page.tsx';
import { machineWith } from '../support/machines.ts';

const job = (s: number) => `G21 G90\nM3 S0\nG0 X5 Y5\nG1 X25 S${s} F1800\nG1 Y15\nG1 X5\nG1 Y5\nM5\n`;
const nasty = `<script>alert("&'")</script>`;
const material = { ...shippedMaterials.basswood!, name: nasty };
const make = (s: number) => forecast(job(s), { ...machineWith(), name: nasty }, material, { cellMm: 0.05 });

/** As text in HTML, where only these two signs can begin markup. */
const escaped = (text: string) => text.replaceAll('&', '&amp;').replaceAll('<', '&lt;');

describe('the page', () => {
  const a = make(200);
  const b = make(60);
  const page = reportPage({
    title: nasty,
    told: [
      { name: nasty, forecast: a, closeUps: a.findings.map((_, k) => `data:image/png;base64,CLOSE${k}`) },
      { name: 'less', forecast: b, closeUps: b.findings.map(() => null) },
    ],
    comparison: compareForecasts(a, b),
    pictures: [{ dataUri: 'data:image/png;base64,AAAA', alt: nasty, caption: 'both' }],
    caution: 'Keep watch.',
  });

  test('holds no script, asks nothing of the network, and escapes every word it was given', () => {
    expect(page).not.toMatch(/<script|<link|<iframe|https?:|url\(/i);
    expect(page).toMatch(/Content-Security-Policy" content="default-src 'none'; img-src data:/);
    expect(page).toContain('&lt;script>');
  });

  test('tells operations as sentences, findings with remedies, both columns and the caution', () => {
    expect(page).toMatch(/Outline, burned at 1800 mm\/min with 20 % power, constant\./);
    expect(page).toMatch(/Outline, burned at 1800 mm\/min with 6 % power, constant\./);
    for (const finding of a.findings) expect(page).toContain(escaped(finding.message));
    expect(a.findings.length).toBeGreaterThan(0);
    const pictures = page.match(/data:image\/png;base64,CLOSE\d/g);
    expect(pictures).toEqual(a.findings.map((_, k) => `data:image/png;base64,CLOSE${k}`));
    expect(page).toMatch(/<th scope="row">energy<\/th>/);
    expect(page).toContain('Keep watch.');
  });
});
