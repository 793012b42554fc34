import { gzipSync } from 'node:zlib';
import jpeg from 'jpeg-js';
import { PNG } from 'pngjs';
import { BoxGeometry, Mesh } from 'three';
import { STLExporter } from 'three/examples/jsm/exporters/STLExporter.js';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { demoMachines } from '../../src/demo/index.ts';
import { forecast } from '../../src/forecast.ts';
import { readMachine } from '../../src/machine/profile.ts';
import { emptyNotebook } from '../../src/outcome/notebook.ts';
import type { FileKind } from '../../src/recognise/file-kind.ts';
import { reportOf } from '../../src/report.ts';
import { makeSwatch } from '../../src/swatch/make.ts';
import { LETTERED, NUMBERED } from '../machine/listings.ts';

const bytes = (text: string) => Buffer.from(text, 'latin1');
export const machine = readMachine({ laser: { optical_power_w: 5 } });
export const board = { widthMm: 80, heightMm: 50, thicknessMm: 3, xMm: 0, yMm: 0 };
const wood = shippedMaterials.basswood!;
const report = reportOf(forecast('M3 S500\nG1 X10 F600\nM5\n', machine, wood));

// Written by libraries from elsewhere: pngjs, jpeg-js, Node's zlib, three's exporter of STL.
const png = PNG.sync.write(new PNG({ width: 3, height: 2 }));
const jpegFile = jpeg.encode({ width: 2, height: 2, data: Buffer.alloc(16) }, 80).data;
const box = new Mesh(new BoxGeometry(10, 20, 3));
const stlText = new STLExporter().parse(box, { binary: false });
const stlBytes = Buffer.from(new STLExporter().parse(box, { binary: true }).buffer);

/** A bitmap's two headers (common practice): file header of 14 bytes, picture header of 40. */
const bitmap = Buffer.alloc(70);
bitmap.write('BM');
bitmap.writeUInt32LE(70, 2);
bitmap.writeUInt32LE(54, 10);
bitmap.writeUInt32LE(40, 14);

/** As printers' files are made: travels without, most feed moves with an E word; a picture in comments before. */
const FILAMENT = `; thumbnail begin 32x32\n${'; iVBORw0KGgoAAAANSUhEUgAAA\n'.repeat(300)}M104 S210\nG28\nG92 E0\nG1 Z0.2 F1200\n${Array.from(
  { length: 40 },
  (_, k) => `G1 X${k} Y${k % 3} E${(k * 0.03).toFixed(4)} F1800`,
).join('\n')}\nG1 X0 Y0 F6000\nG1 E-2 F2400\nM107\n`;

/** Beginnings of files of every kind, with what they are. */
export const FILES: readonly (readonly [
  name: string,
  file: Uint8Array,
  kind: FileKind | null,
  what: RegExp | null,
])[] = [
  ['PNG', png, 'photo', /^a PNG picture$/],
  ['JPEG', jpegFile, 'photo', /^a JPEG picture$/],
  ['GIF', bytes('GIF89a\x01\0\x01\0'), 'picture', /GIF/],
  ['BMP', bitmap, 'picture', /BMP/],
  ['TIFF, little end first', bytes('II*\0\x08\0\0\0'), 'picture', /TIFF/],
  ['TIFF, big end first', bytes('MM\0*\0\0\0\x08'), 'picture', /TIFF/],
  ['WEBP', bytes('RIFF\x24\0\0\0WEBPVP8 '), 'picture', /WEBP/],
  ['HEIC', bytes('\0\0\0\x18ftypheic\0\0\0\0'), 'picture', /HEIC/],
  ['film', bytes('\0\0\0\x18ftypisom\0\0\0\0'), 'unknown', /recording/],
  ['PDF', bytes('%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj\n'), 'drawing', /PDF/],
  ['PostScript', bytes('%!PS-Adobe-3.0 EPSF-3.0\n'), 'drawing', /PostScript/],
  [
    'SVG behind a declaration and a comment',
    bytes(
      '\xef\xbb\xbf<?xml version="1.0"?>\n<!-- leaf -->\n<svg xmlns="http://www.w3.org/2000/svg" width="9">',
    ),
    'drawing',
    /SVG/,
  ],
  ['SVG by a prefix', bytes('<s:svg xmlns:s="http://www.w3.org/2000/svg"/>'), 'drawing', /SVG/],
  ['DXF', bytes('  0\r\nSECTION\r\n  2\r\nHEADER\r\n'), 'drawing', /DXF/],
  [
    'DXF behind comments',
    bytes('999\nfrom a drawing\n999\nmore\n0\nSECTION\n2\nENTITIES\n'),
    'drawing',
    /DXF/,
  ],
  [
    'pen-plotter file',
    bytes('IN;SP1;PU100,200;PD300,200,300,400;PU;SP0;'),
    'drawing',
    /^a pen-plotter file$/,
  ],
  [
    'pen-plotter file behind commands to the plotter',
    bytes('\x1b.(\x1b.I81;;17:\x1b%0B IN\r\nPS4000\nSP2;pa 10 20;PD\n'),
    'drawing',
    /pen-plotter/,
  ],
  ['STL as text', bytes(stlText), 'model', /STL/],
  ['STL as bytes', stlBytes, 'model', /STL/],
  ['ZIP', bytes('PK\x03\x04\x14\0\0\0'), 'archive', /ZIP/],
  ['gzip', gzipSync('G1 X10 F600\n'), 'archive', /gzip/],
  ['web page', bytes('<!DOCTYPE html>\n<html><head>'), 'page', /web page/],
  ['other XML', bytes('<?xml version="1.0"?>\n<doc/>'), 'unknown', /XML/],
  ['NumPy array', bytes("\x93NUMPY\x01\0v\0{'descr': '<f4'"), 'unknown', /NumPy/],
  ['numbered listing', bytes(NUMBERED), 'listing', /settings listing/],
  ['lettered listing', bytes(LETTERED), 'listing', /settings listing/],
  ['one setting', bytes('$110=6000\n'), 'listing', /settings listing/],
  [
    'machine profile',
    bytes(JSON.stringify(demoMachines['bench-gantry'], null, 2)),
    'machine',
    /machine profile/,
  ],
  [
    'machine profile in UTF-16',
    Buffer.from(`\ufeff${JSON.stringify(machine)}`, 'utf16le'),
    'machine',
    /machine/,
  ],
  ['wood profile', bytes(JSON.stringify(wood)), 'wood', /wood profile/],
  ['swatch', bytes(JSON.stringify(makeSwatch(machine, board).swatch)), 'swatch', /key to a swatch/],
  ['notebook', bytes(JSON.stringify(emptyNotebook())), 'notebook', /^a notebook of burns$/],
  ['report', bytes(JSON.stringify(report)), 'unknown', /report of a forecast/],
  ['other JSON', bytes('{"scripts": {"test": "none"}}'), 'json', /JSON/],
  [
    'filament',
    bytes(FILAMENT),
    'printer job',
    /filament printer \(E words on 40 of 41 feed moves looked at\)/,
  ],
  ['two moves of filament', bytes('G28\nG1 X10 Y10 E1 F1500\nX20 E2\n'), 'printer job', /all 2 feed moves/],
  ['job', bytes('G21 G90\nM4 S0\nG0 X10 Y10\nG1 X22 S700 F2400\nM5\n'), 'job', null],
  ['job that sets the controller', bytes('$32=1\nM3 S1\nG1 X1 F60\n'), 'job', null],
  ['job with one E word', bytes('G1 X1 F600\nG1 X2\nG1 X3 E1\n'), 'job', null],
  ['job with exponents', bytes('M3 S9\nG1 X1e1 Y2.0E-1 F600\nG1 X2.5e0\nG1 Y1e-3\n'), 'job', null],
  ['filament without blanks', bytes('G1X10Y10E1F1500\nG1X20E2.5\n'), 'printer job', /all 2 feed moves/],
  [
    'job that sets the controller, with its motion words last',
    bytes('$32=1\nM4 S200 G0 X1\nF600 S5 G1 Y5\n'),
    'job',
    null,
  ],
  ['job that speaks of E in comments', bytes('; G1 X1 E1\n; G1 X1 E1\nG1 X1 F600 (E1)\n'), 'job', null],
  ['job behind a command in JSON', bytes('{"sr":null}\nG1 X10 F600\n'), 'job', null],
  ['text', bytes('Dear friend,\n\nthank you.\n'), null, null],
  ['text of short words', bytes('IN MY PA, IS PU; no.\n'), null, null],
  [
    'job padded with NULs',
    bytes(`G21\nM4 S0\n${'G1 X9 F600\n'.repeat(6)}M5\nM2\n${'\0'.repeat(512)}`),
    'job',
    null,
  ],
  ['nothing but NULs', new Uint8Array(512), null, null],
  ['nothing', bytes(''), null, null],
];
