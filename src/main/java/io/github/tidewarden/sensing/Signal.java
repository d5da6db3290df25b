package io.github.tidewarden.sensing;

/**
 * One sensor as seen at one moment.
 *
 * @param name the sensor's name
 * @param measure what it measures
 * @param value in the measure's unit (a contact: 1 or 0); NaN when nothing usable was ever heard
 * @param quality how far to believe it
 * @param reason why the quality is not good, in the keeper's words; empty when good
 * @param ageNanos age of the value in nanoseconds of monotonic time; {@link Long#MAX_VALUE} when
 *     never heard
 * @param heard whether anything usable was heard since start
 * @param arrivalNumber arrival number of the reading that gave the value; 0 when never heard
 */
public record Signal(
    String name,
    Measure measure,
    double value,
    Quality quality,
    String reason,
    long ageNanos,
    boolean heard,
    long arrivalNumber) {

  /** Whether the value may permit anything. */
  public boolean good() {
    return quality == Quality.GOOD;
  }
}
