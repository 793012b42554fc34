/** Small jobs that burn one setting, far enough from turns that the head runs at its feed. */

/** Where both jobs burn: from x 20 to 40 mm; rows fill y 10 … 14 mm, lines lie on y 10 and x 20 mm. */
const FROM = 20;
const TO = 40;

interface RowsSetting {
  readonly feedMmPerMin: number;
  readonly s: number;
  readonly rowSpacingMm: number;
  /** Beam-off run beyond both ends, mm. */
  readonly overscanMm?: number;
}

/** A patch of 20 × 4 mm in rows both ways, under proportional power. */
export function rowsJob({ feedMmPerMin, s, rowSpacingMm, overscanMm = 16 }: RowsSetting): string {
  const [left, right] = [FROM - overscanMm, TO + overscanMm];
  let text = `G21 G90\nM4 S0\nG0 X${left} Y10\nG1 F${feedMmPerMin}\n`;
  for (let k = 0; k * rowSpacingMm <= 4; k++) {
    const y = (10 + k * rowSpacingMm).toFixed(4);
    const [start, from, to, end] = k % 2 === 0 ? [left, FROM, TO, right] : [right, TO, FROM, left];
    text += `G1 X${start} Y${y} S0\nG1 X${from}\nG1 X${to} S${s}\nG1 X${end} S0\n`;
  }
  return `${text}M5\n`;
}

interface LineSetting {
  readonly feedMmPerMin: number;
  readonly s: number;
  readonly passes: number;
}

/** A line along x and one along y, 20 mm each, each burned in the same direction every time. */
export function lineJob({ feedMmPerMin, s, passes }: LineSetting): string {
  let text = `G21 G90\nM4 S${s}\n`;
  const along = (toX: number, toY: number): void => {
    for (let k = 0; k < passes; k++) text += `G0 X${FROM} Y10\nG1 X${toX} Y${toY} F${feedMmPerMin}\n`;
  };
  along(TO, 10);
  along(FROM, 30);
  return `${text}M5\n`;
}
