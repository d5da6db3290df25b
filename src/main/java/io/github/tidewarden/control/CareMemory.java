package io.github.tidewarden.control;

import java.time.Instant;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.TreeMap;
import org.jspecify.annotations.Nullable;

/**
 * What keepers did to the installation and measured in the water, and how long ozone ran: a fold
 * over audit records, as all memory.
 *
 * @param ozoneMillis running time of ozone in accounts that are closed, since the records begin, ms
 * @param carbons the last change of each carbon, by its word
 * @param residual the residual oxidant that was measured last; null before the first
 * @param skimmer what was done to the skimmer
 */
public record CareMemory(
    long ozoneMillis,
    Map<String, Change> carbons,
    @Nullable Residual residual,
    SkimmerMemory skimmer) {

  static final CareMemory BLANK = new CareMemory(0, Map.of(), null, SkimmerMemory.BLANK);

  private static final String OZONE_MS = "ozone-ms";
  private static final String CARBONS = "carbons";
  private static final String RESIDUAL = "residual";
  private static final String AT = "at";
  private static final String MONO_MS = "mono-ms";

  /**
   * Carbon was changed.
   *
   * @param at when, by a trusted wall clock
   * @param by who
   * @param ozoneMillis of all closed accounts by then, ms; a run that was open counts as after it
   */
  public record Change(Instant at, String by, long ozoneMillis) {}

  /**
   * Residual oxidant was measured.
   *
   * @param at when it was noted, by a trusted wall clock
   * @param boot in which
   * @param monoMillis when, monotonic in that boot
   * @param by who
   * @param nanograms in a litre, as Cl2
   */
  public record Residual(Instant at, String boot, long monoMillis, String by, long nanograms) {

    /** Whether it is over what was published as safe: until another measurement no ozone runs. */
    public boolean over() {
      return nanograms > ResidualNote.SAFE_NANOGRAMS;
    }

    /** The same, mg/L as Cl2. */
    public double milligrams() {
      return nanograms / ResidualNote.NANOGRAMS_PER_MILLIGRAM;
    }
  }

  /** Copies the map; sorted, so that the same memory is always written the same. */
  public CareMemory {
    carbons = Collections.unmodifiableSortedMap(new TreeMap<>(carbons));
  }

  /** The memory after one record. */
  CareMemory apply(AuditRecord record, String boot) {
    Fields fields = new Fields(record.fields());
    return switch (record.kind()) {
      // How long ozone ran is not known any more, so nobody can say how old a carbon is.
      case RECOVERED ->
          fields.flag(Fields.LATCHED)
              ? new CareMemory(ozoneMillis, Map.of(), residual, skimmer)
              : this;
      case ACT ->
          fields.text(Fields.ACT).equals(Deed.NOTE)
              ? noted(fields, record, boot).withSkimmer(skimmer.apply(record))
              : this;
      case CLEANING, NOTICE -> withSkimmer(skimmer.apply(record));
      default -> this;
    };
  }

  private CareMemory withSkimmer(SkimmerMemory next) {
    return next.equals(skimmer) ? this : new CareMemory(ozoneMillis, carbons, residual, next);
  }

  private CareMemory noted(Fields fields, AuditRecord record, String boot) {
    if (fields.has(Fields.CARBON)) {
      Map<String, Change> next = new TreeMap<>(carbons);
      next.put(
          fields.text(Fields.CARBON), new Change(record.at(), fields.text(Fields.BY), ozoneMillis));
      return new CareMemory(ozoneMillis, next, residual, skimmer);
    }
    if (fields.has(Fields.RESIDUAL_NG_L)) {
      Residual next =
          new Residual(
              record.at(),
              boot,
              record.monoMillis(),
              fields.text(Fields.BY),
              fields.count(Fields.RESIDUAL_NG_L));
      return isOlder(next) ? this : new CareMemory(ozoneMillis, carbons, next, skimmer);
    }
    return this;
  }

  /**
   * One that was noted before the last, and got to the disk after it took effect: what forbids does
   * not wait for the disk, and what was measured earlier does not lift it.
   */
  private boolean isOlder(Residual next) {
    Residual last = residual;
    return last != null
        && last.over()
        && !next.over()
        && last.boot().equals(next.boot())
        && next.monoMillis() <= last.monoMillis();
  }

  /** Whether what was measured last forbids ozone. */
  boolean harms() {
    Residual last = residual;
    return last != null && last.over();
  }

  /** After an account of so long was closed. */
  CareMemory plusOzone(long millis) {
    return new CareMemory(ozoneMillis + millis, carbons, residual, skimmer);
  }

  /** For a checkpoint. */
  Map<String, Object> fields() {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(OZONE_MS, ozoneMillis);
    Map<String, Object> changes = new LinkedHashMap<>();
    carbons.forEach(
        (name, change) -> {
          Map<String, Object> one = new LinkedHashMap<>();
          one.put(AT, change.at().toString());
          one.put(Fields.BY, change.by());
          one.put(OZONE_MS, change.ozoneMillis());
          changes.put(name, one);
        });
    fields.put(CARBONS, changes);
    Residual last = residual;
    if (last != null) {
      Map<String, Object> one = new LinkedHashMap<>();
      one.put(AT, last.at().toString());
      one.put(Fields.BOOT, last.boot());
      one.put(MONO_MS, last.monoMillis());
      one.put(Fields.BY, last.by());
      one.put(Fields.RESIDUAL_NG_L, last.nanograms());
      fields.put(RESIDUAL, one);
    }
    fields.put(Fields.SKIMMER, skimmer.fields());
    return fields;
  }

  /** From a checkpoint. */
  static CareMemory read(Fields fields) {
    Map<String, Change> carbons = new TreeMap<>();
    fields
        .map(CARBONS)
        .forEach((name, change) -> carbons.put((String) name, change(Fields.of(change))));
    return new CareMemory(
        fields.count(OZONE_MS),
        carbons,
        fields.has(RESIDUAL) ? residual(fields.fields(RESIDUAL)) : null,
        fields.has(Fields.SKIMMER)
            ? SkimmerMemory.read(fields.fields(Fields.SKIMMER))
            : SkimmerMemory.BLANK);
  }

  private static Change change(Fields fields) {
    return new Change(
        Instant.parse(fields.text(AT)), fields.text(Fields.BY), fields.count(OZONE_MS));
  }

  private static Residual residual(Fields fields) {
    return new Residual(
        Instant.parse(fields.text(AT)),
        fields.text(Fields.BOOT),
        fields.count(MONO_MS),
        fields.text(Fields.BY),
        fields.count(Fields.RESIDUAL_NG_L));
  }
}
