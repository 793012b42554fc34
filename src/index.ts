/**
 * Charcast as a library: the road, its stages, and their types. Pure functions over plain data; runs in Node
 * and in a browser or worker.
 */
export type { Stock } from './board.ts';
export type { Burn } from './burn/burn.ts';
export { burnDose } from './burn/burn-dose.ts';
export { labOf } from './burn/colour.ts';
export { guessesOf } from './burn/guesses.ts';
export { type Material, readMaterial } from './burn/material.ts';
export { shippedMaterials } from './burn/shipped.ts';
export {
  type Outcome,
  type Region,
  type SpeedPower,
  speedPower,
  type Use,
  type Work,
} from './burn/speed-power.ts';
export { adjustText } from './change/adjust-text.ts';
export { advisedChanges, type Settled, settle } from './change/advised.ts';
export type { Change, Settings } from './change/change.ts';
export { changeProgram } from './change/change-program.ts';
export { changesWords, changeWords, parseChanges } from './change/grammar.ts';
export { forecastChanged, startWhatIf, type WhatIf } from './change/what-if.ts';
export { type Chart, type ChartPanel, chartOf } from './chart/chart.ts';
export { type ChartPoint, pointsOf } from './chart/points.ts';
export { type Comparison, compareForecasts } from './compare/compare.ts';
export type { ToneErrors } from './compare/tone-wish.ts';
export { type Deposit, depositStepMm, startDeposit } from './dose/deposit.ts';
export type { Dose } from './dose/dose.ts';
export { type Moment, type Timeline, timelineOf } from './dose/moment.ts';
export type { BeamVisitor, Stroke } from './dose/visitor.ts';
export { walkBeam } from './dose/walk-beam.ts';
export { type Dosed, type DosingWish, doseText } from './dosing/dose-job.ts';
export type { Evenness } from './dosing/evenness.ts';
export type { Wish as ToneWish } from './dosing/picture-rows.ts';
export { TONE_ENDS, type ToneEnds } from './dosing/wish.ts';
export { InputError } from './errors.ts';
export { doubtsOf } from './explain/doubts.ts';
export type { CutForecast } from './findings/evidence/cut-forecast.ts';
export type { Advice, Finding, Place, Severity } from './findings/finding.ts';
export { type Finish, finishOf } from './finish/finish.ts';
export {
  type Checks,
  type Forecast,
  type ForecastOptions,
  type ForecastSetup,
  forecast,
  type OperationTotals,
} from './forecast.ts';
export { type Bounds, cellAt, type Grid, type GridFrame, integrate } from './grid.ts';
export {
  type Choices,
  type MachineFromListing,
  machineFromListing,
  type PartialMachine,
} from './machine/listing.ts';
export { type Machine, type MachineFile, readMachine } from './machine/profile.ts';
export { checkMotion, type Motion } from './motion/motion.ts';
export { planMotion } from './motion/plan.ts';
export { type HeadState, headAt } from './motion/timeline.ts';
export { type Burn as ToldBurn, type LearnOptions, type Lesson, learn } from './outcome/learn.ts';
export { readSaid, type Said, type Told } from './outcome/say.ts';
export { type HeldOutline, heldOutlines } from './parts/held.ts';
export { type FreePart, type Parts, partsOf } from './parts/parts.ts';
export type { Photo } from './photo/photo.ts';
export { type BurnPictureOptions, burnPicture, type PictureOptions } from './picture/burn-picture.ts';
export { dosePicture } from './picture/dose-picture.ts';
export { colourOfTone, type PaintOptions, paintBurn } from './picture/paint.ts';
export type { DrawSvg, Picture, Rgb } from './picture/picture.ts';
export { type TonePath, tonePathOf } from './picture/tone.ts';
export {
  type Moves,
  type Operation,
  type PowerMode,
  type Program,
  powerModeName,
  type Stops,
} from './program/program.ts';
export { type ReadOptions, readProgram, type TextSource } from './program/read.ts';
export type { FileKind, Recognised } from './recognise/file-kind.ts';
export { headOf, recognise } from './recognise/recognise.ts';
export { type Report, reportOf } from './report.ts';
export type { Proposal, Suggestion } from './suggest/proposal.ts';
export { type SuggestOptions, suggest } from './suggest/suggest.ts';
export { readWant, type Want } from './suggest/want.ts';
export { fitSwatch, type SwatchFit } from './swatch/fit/fit.ts';
export type { FitOptions } from './swatch/fit/options.ts';
export { type MadeSwatch, makeSwatch, type SwatchOptions } from './swatch/make.ts';
export { type PhotoReading, type ReadPhotoOptions, readPhoto } from './swatch/photo/read.ts';
export { replaySwatch, type SwatchDoses } from './swatch/replay.ts';
export { readSwatch, type Swatch } from './swatch/swatch.ts';
