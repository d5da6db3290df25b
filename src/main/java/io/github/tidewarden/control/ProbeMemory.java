package io.github.tidewarden.control;

import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.science.ProbeCorrection;
import java.time.Duration;
import java.time.Instant;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.TreeMap;

/**
 * The last calibration of one redox probe. It names all that its figures depend on, and belongs to
 * the reference electrode that it was made against: where the configuration names another, it
 * counts no more.
 *
 * @param at when, by a trusted wall clock
 * @param boot in which it was made
 * @param monoMillis when, monotonic in that boot
 * @param reference the electrode that the figures are against
 * @param solution what the probe stood in last
 * @param published what a sound probe reads in it, µV
 * @param measured what this one read in it, µV
 * @param slope of the correction, in millionths; a million from a single solution
 * @param offset of the correction, µV
 * @param unfit whether it was too far off to be corrected: until another one no ozone starts
 */
public record ProbeMemory(
    Instant at,
    String boot,
    long monoMillis,
    String reference,
    String solution,
    long published,
    long measured,
    long slope,
    long offset,
    boolean unfit) {

  /** Most probes of a tank that are remembered; each is in every checkpoint. */
  static final int MOST = 16;

  /** How far ahead of the clock a calibration may be dated; a clock may be a little off. */
  private static final Duration AHEAD = Duration.ofHours(1);

  private static final double MILLION = 1e6;
  private static final double MICROVOLTS = 1e3;

  /** As it was recorded. */
  static ProbeMemory of(Fields fields, AuditRecord record, String boot) {
    return read(fields, record.at(), boot, record.monoMillis());
  }

  private static ProbeMemory read(Fields fields, Instant at, String boot, long monoMillis) {
    return new ProbeMemory(
        at,
        boot,
        monoMillis,
        fields.text(Fields.REFERENCE),
        fields.text(Fields.SOLUTION),
        fields.count(Fields.PUBLISHED_UV),
        fields.count(Fields.MEASURED_UV),
        fields.count(Fields.SLOPE_PPM),
        fields.count(Fields.OFFSET_UV),
        fields.has(Fields.UNFIT) && fields.flag(Fields.UNFIT));
  }

  /** From a checkpoint. */
  static ProbeMemory read(Fields fields) {
    return read(
        fields,
        Instant.parse(fields.text("at")),
        fields.text(Fields.BOOT),
        fields.count("mono-ms"));
  }

  /** For a checkpoint. */
  Map<String, Object> fields() {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put("at", at.toString());
    fields.put(Fields.BOOT, boot);
    fields.put("mono-ms", monoMillis);
    fields.put(Fields.REFERENCE, reference);
    fields.put(Fields.SOLUTION, solution);
    fields.put(Fields.PUBLISHED_UV, published);
    fields.put(Fields.MEASURED_UV, measured);
    fields.put(Fields.SLOPE_PPM, slope);
    fields.put(Fields.OFFSET_UV, offset);
    fields.put(Fields.UNFIT, unfit);
    return fields;
  }

  /** These with one more, or another of its name; of too many the oldest is forgotten. */
  static Map<String, ProbeMemory> with(
      Map<String, ProbeMemory> known, String name, ProbeMemory calibration) {
    Map<String, ProbeMemory> next = new TreeMap<>(known);
    next.put(name, calibration);
    if (next.size() > MOST) {
      next.values()
          .remove(Collections.min(next.values(), java.util.Comparator.comparing(p -> p.at)));
    }
    return next;
  }

  /** What a sound probe would read where this one reads so much, mV. */
  public double corrected(double millivolts) {
    return correction().corrected(millivolts);
  }

  /** From what the probe reads to what a sound one would. */
  public ProbeCorrection correction() {
    return new ProbeCorrection(slope / MILLION, offset / MICROVOLTS);
  }

  /** What a sound probe reads in the last solution, mV. */
  double publishedMillivolts() {
    return published / MICROVOLTS;
  }

  /** What this one read in the last solution, mV. */
  double measuredMillivolts() {
    return measured / MICROVOLTS;
  }

  /**
   * How old it is by the clock that says more: of a clock that was set back it gets no younger.
   *
   * @return ms; negative when it is dated ahead of the clock
   */
  public long ageMillis(String bootNow, Moment now) {
    long wall = Duration.between(at, now.wall()).toMillis();
    return boot.equals(bootNow) ? Math.max(wall, now.monoNanos() / 1_000_000 - monoMillis) : wall;
  }

  /** Whether nobody can say how old it is. */
  boolean aheadOf(String bootNow, Moment now) {
    return ageMillis(bootNow, now) < -AHEAD.toMillis();
  }

  static long microvolts(double millivolts) {
    return Math.round(millivolts * MICROVOLTS);
  }

  static long millionths(double slope) {
    return Math.round(slope * MILLION);
  }
}
