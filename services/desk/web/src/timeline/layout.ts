/** Where the first lane begins, below the labels of folds and ticks. */
export const laneTop = 46;

/** From one lane to the next. */
export const laneHeight = 25;

/** The middle of a lane. */
export const laneMiddle = (index: number): number => laneTop + index * laneHeight + laneHeight / 2;
