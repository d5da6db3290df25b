package io.github.tidewarden.control;

import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.Spend;
import java.time.Duration;
import org.jspecify.annotations.Nullable;

/**
 * What is remembered of a bin of new water: a fold over audit records.
 *
 * @param batch what a keeper confirmed last; null when nothing is confirmed
 * @param filled when somebody filled it since then, as an account of nothing; null when nobody did
 * @param mixed whether a portion of what is in it was begun, so that it had mixed for long enough
 * @param drawnMillilitres what came out of it since
 * @param leftMillilitres what its sensor said at the last portion, or when the batch was confirmed;
 *     {@link #UNKNOWN} for not measured
 */
public record BinMemory(
    @Nullable Batch batch,
    @Nullable Spend filled,
    boolean mixed,
    long drawnMillilitres,
    long leftMillilitres) {

  /** In place of what nobody measures. */
  public static final long UNKNOWN = -1;

  /** A bin of which nothing is confirmed. */
  public static final BinMemory BLANK = new BinMemory(null, null, false, 0, UNKNOWN);

  /**
   * A batch of new water as a keeper confirmed it.
   *
   * @param by who confirmed it
   * @param confirmed when, as an account of nothing
   * @param microPsu its salinity, millionths of a PSU
   * @param milliCelsius its temperature then, thousandths of a degree; null when an older
   *     checkpoint does not say
   * @param mixedMillis how long it had mixed then
   * @param millilitres how much it was
   */
  public record Batch(
      String by,
      Spend confirmed,
      long microPsu,
      @Nullable Long milliCelsius,
      long mixedMillis,
      long millilitres) {

    /** How long it has mixed for certain; a clock that nobody vouches for ages nothing. */
    public Duration mixed(String boot, Moment now) {
      return Duration.ofMillis(mixedMillis).plus(confirmed.age(boot, now));
    }
  }

  /** The memory after a record that names this bin. */
  BinMemory apply(AuditRecord record, String boot) {
    Fields fields = new Fields(record.fields());
    return switch (record.kind()) {
      case ACT -> acted(fields, record, boot);
      case PORTION -> new BinMemory(batch, filled, true, drawnMillilitres, leftMillilitres);
      case FILLED ->
          with(drawnMillilitres + fields.count(Fields.IN_ML), lower(fields.count(Fields.BIN_ML)));
      case NEW_WATER ->
          new BinMemory(
              null,
              nothing(fields, record, boot),
              false,
              0,
              fields.has(Fields.BIN_ML) ? fields.count(Fields.BIN_ML) : UNKNOWN);
      case NOTICE -> taken(fields.count(Fields.BIN_ML));
      default -> this;
    };
  }

  /** It never holds more than it did, or a slow inflow would raise what it may hold bit by bit. */
  private long lower(long left) {
    return left == UNKNOWN
        ? leftMillilitres
        : leftMillilitres == UNKNOWN ? left : Math.min(left, leftMillilitres);
  }

  /**
   * After a portion was given up: how much of it had come out of the bin only a sensor knows. One
   * that says more than was left says that somebody filled it, and confirms nothing.
   */
  private BinMemory given(Fields fields) {
    long said = fields.has(Fields.BIN_ML) ? fields.count(Fields.BIN_ML) : UNKNOWN;
    if (said == UNKNOWN) {
      return with(drawnMillilitres + fields.count(Fields.PORTION_ML), leftMillilitres);
    }
    long left = lower(said);
    return with(Math.max(drawnMillilitres, taken(left).drawnMillilitres()), left);
  }

  private BinMemory with(long drawn, long left) {
    return new BinMemory(batch, filled, mixed, drawn, left);
  }

  /** After water was taken out by hand: the ledger goes on from what the sensor says. */
  private BinMemory taken(long left) {
    return with(batch == null ? drawnMillilitres : Math.max(0, batch.millilitres() - left), left);
  }

  private static Spend nothing(Fields fields, AuditRecord record, String boot) {
    return Spend.of(TankMemory.moment(record, Duration.ZERO), boot, fields.date(Fields.NIGHT), 0);
  }

  private BinMemory acted(Fields fields, AuditRecord record, String boot) {
    if (!fields.text(Fields.ACT).equals(Deed.BATCH)) {
      return given(fields);
    }
    return new BinMemory(
        new Batch(
            fields.text(Fields.BY),
            nothing(fields, record, boot),
            fields.count(Fields.SALINITY_UPSU),
            fields.has(Fields.TEMPERATURE_MCEL) ? fields.count(Fields.TEMPERATURE_MCEL) : null,
            fields.count(Fields.MIXED_MS),
            fields.count(Fields.VOLUME_ML)),
        null,
        false,
        0,
        fields.count(Fields.BIN_ML));
  }
}
