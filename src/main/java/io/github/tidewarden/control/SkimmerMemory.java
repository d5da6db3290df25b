package io.github.tidewarden.control;

import java.time.Instant;
import java.time.LocalDate;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.TreeMap;
import org.jspecify.annotations.Nullable;

/**
 * What was done to a skimmer, and what its last cleaning did. A fold over audit records.
 *
 * @param done when each work was done last, by its word, by a trusted wall clock
 * @param told the night in which each notice was told last, by its name
 * @param before means over the hour before the last cleaning
 * @param after means from 1 h to 24 h after it; unknown until then
 * @param compared whether those 24 h are over
 */
public record SkimmerMemory(
    Map<String, Instant> done,
    Map<String, LocalDate> told,
    Means before,
    Means after,
    boolean compared) {

  /** Stands for what is not known. */
  static final long UNKNOWN = -1;

  /** The notice that air fell back to what it was before the last cleaning. */
  static final String AIR_BACK = "skimmer-air-back";

  /** Nothing was ever done. */
  public static final SkimmerMemory BLANK =
      new SkimmerMemory(Map.of(), Map.of(), Means.UNKNOWN, Means.UNKNOWN, false);

  private static final String DONE = "done";
  private static final String TOLD = "told";
  private static final String COMPARED = "compared";

  /**
   * Air and redox.
   *
   * @param air µL/min; -1 for unknown
   * @param redox outside doses, µV against the tank's reference; -1 for unknown
   */
  public record Means(long air, long redox) {
    static final Means UNKNOWN = new Means(SkimmerMemory.UNKNOWN, SkimmerMemory.UNKNOWN);

    /** L/min; null for unknown. */
    public @Nullable Double litresPerMinute() {
      return air == SkimmerMemory.UNKNOWN ? null : Double.valueOf(air / 1e6);
    }

    /** mV; null for unknown. */
    public @Nullable Double millivolts() {
      return redox == SkimmerMemory.UNKNOWN ? null : Double.valueOf(redox / 1e3);
    }

    void put(Map<String, Object> fields, String airName, String redoxName) {
      fields.put(airName, air);
      fields.put(redoxName, redox);
    }

    static Means read(Fields fields, String airName, String redoxName) {
      return new Means(fields.count(airName), fields.count(redoxName));
    }
  }

  /** Copies the maps; sorted, so that the same memory is always written the same. */
  public SkimmerMemory {
    done = Collections.unmodifiableSortedMap(new TreeMap<>(done));
    told = Collections.unmodifiableSortedMap(new TreeMap<>(told));
  }

  /** When it was cleaned last; null when not known. */
  public @Nullable Instant cleaned() {
    return done.get(SkimmerWork.CLEANED.word());
  }

  /** The memory after one record. */
  SkimmerMemory apply(AuditRecord record) {
    Fields fields = new Fields(record.fields());
    return switch (record.kind()) {
      case ACT -> fields.has(Fields.SKIMMER) ? worked(fields, record.at()) : this;
      case CLEANING ->
          new SkimmerMemory(
              done, told, before, Means.read(fields, Fields.AIR_AFTER, Fields.REDOX_AFTER), true);
      case NOTICE -> fields.has(Fields.NAME) ? told(fields.text(Fields.NAME), fields) : this;
      default -> this;
    };
  }

  private SkimmerMemory worked(Fields fields, Instant at) {
    Map<String, Instant> next = new TreeMap<>(done);
    next.put(fields.text(Fields.SKIMMER), at);
    return fields.text(Fields.SKIMMER).equals(SkimmerWork.CLEANED.word())
        ? new SkimmerMemory(
            next,
            told,
            Means.read(fields, Fields.AIR_BEFORE, Fields.REDOX_BEFORE),
            Means.UNKNOWN,
            false)
        : new SkimmerMemory(next, told, before, after, compared);
  }

  private SkimmerMemory told(String name, Fields fields) {
    if (!isReminder(name)) {
      return this;
    }
    Map<String, LocalDate> next = new TreeMap<>(told);
    next.put(name, fields.date(Fields.NIGHT));
    return new SkimmerMemory(done, next, before, after, compared);
  }

  private static boolean isReminder(String name) {
    for (SkimmerWork work : SkimmerWork.values()) {
      if (work.notice().equals(name)) {
        return true;
      }
    }
    return AIR_BACK.equals(name);
  }

  /** For a checkpoint. */
  Map<String, Object> fields() {
    Map<String, Object> fields = new LinkedHashMap<>();
    Map<String, Object> times = new LinkedHashMap<>();
    done.forEach((word, at) -> times.put(word, at.toString()));
    fields.put(DONE, times);
    Map<String, Object> nights = new LinkedHashMap<>();
    told.forEach((name, night) -> nights.put(name, night.toString()));
    fields.put(TOLD, nights);
    before.put(fields, Fields.AIR_BEFORE, Fields.REDOX_BEFORE);
    after.put(fields, Fields.AIR_AFTER, Fields.REDOX_AFTER);
    fields.put(COMPARED, compared);
    return fields;
  }

  /** From a checkpoint. */
  static SkimmerMemory read(Fields fields) {
    Map<String, Instant> done = new TreeMap<>();
    fields.map(DONE).forEach((word, at) -> done.put((String) word, Instant.parse((String) at)));
    Map<String, LocalDate> told = new TreeMap<>();
    fields
        .map(TOLD)
        .forEach((name, night) -> told.put((String) name, LocalDate.parse((String) night)));
    return new SkimmerMemory(
        done,
        told,
        Means.read(fields, Fields.AIR_BEFORE, Fields.REDOX_BEFORE),
        Means.read(fields, Fields.AIR_AFTER, Fields.REDOX_AFTER),
        fields.flag(COMPARED));
  }
}
