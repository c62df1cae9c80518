/** A moment of the story, s from its beginning, and a value. */
export type Sample = readonly [at_s: number, value: number];

/** One quantity over time. */
export interface PlottedCurve {
  readonly name: string;
  readonly samples: readonly Sample[];
}

/** Quantities that share a scale, already in the unit named. */
export interface CurvePanel {
  readonly title: string;
  readonly unit: string;
  readonly curves: readonly PlottedCurve[];
}

/** Something that is between shut (0) and open (1). */
export interface PositionLane {
  readonly name: string;
  readonly samples: readonly Sample[];
}

/** Something that lasts for a time or happens at once. */
export interface SignalLane {
  readonly name: string;
  /** An end that is undefined lies beyond the story. */
  readonly spans: readonly { readonly from_s: number; readonly to_s: number | undefined }[];
  readonly strokes_s: readonly number[];
}

/** Something said about a moment: an act, a fault. */
export interface Note {
  readonly at_s: number;
  readonly text: string;
}

/** Everything a drawing of a story shows, s from its beginning. */
export interface Plotted {
  readonly title: string;
  readonly subtitle: string;
  readonly from_s: number;
  readonly to_s: number;
  readonly panels: readonly CurvePanel[];
  readonly positions: readonly PositionLane[];
  readonly signals: readonly SignalLane[];
  readonly notes: readonly Note[];
  /** Moments, besides those of what is shown, that must lie within the drawing. */
  readonly moments_s: readonly number[];
}
