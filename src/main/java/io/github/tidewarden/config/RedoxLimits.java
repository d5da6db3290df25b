package io.github.tidewarden.config;

/**
 * The redox figures of a tank that its interlocks take, against its own reference electrode.
 *
 * @param ceilingMillivolts at or over this ozone rests at once
 * @param startBelowMillivolts under this a dose may start
 * @param stopAboveMillivolts at or over this a dose ends
 * @param lowMillivolts at or under this a probe is taken as unplugged, or the water as in trouble
 */
record RedoxLimits(
    double ceilingMillivolts,
    double startBelowMillivolts,
    double stopAboveMillivolts,
    double lowMillivolts) {}
