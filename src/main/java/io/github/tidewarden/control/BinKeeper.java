package io.github.tidewarden.control;

import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.exchange.NewWater;
import io.github.tidewarden.sensing.Signal;
import io.github.tidewarden.sensing.Trend;
import java.time.Duration;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/** The bin of new water in one turn of a tank that draws from it. */
final class BinKeeper {

  /** A bin that has held more or less for so long than what was left in it was seen to by hand. */
  static final long ODD_NANOS = TimeUnit.MINUTES.toNanos(1);

  private final Turn turn;
  private final ExchangeSpec spec;
  private final @Nullable Signal volume;
  private final BinMemory bin;
  private final Trend trend;
  private @Nullable Long oddNanos;

  BinKeeper(Turn turn, ExchangeSpec spec, BinWatch before) {
    this.turn = turn;
    this.spec = spec;
    volume = turn.signal(spec.bin().volumeSensor());
    bin = turn.around.bin();
    trend = volume == null ? before.trend() : before.trend().with(volume, turn.now);
    oddNanos = before.oddNanos();
  }

  BinWatch after() {
    return new BinWatch(trend, oddNanos);
  }

  /** What it holds by its sensor, L; NaN for unknown. */
  double litres() {
    return trend.settled(volume, turn.now);
  }

  /**
   * What is left in a bin with a sensor by the ledger, mL, so that what one reading is off the next
   * makes good; else what its sensor says now.
   */
  long leftMillilitres() {
    BinMemory.Batch batch = bin.batch();
    long now = PortionClerk.measured(litres());
    return now == BinMemory.UNKNOWN || batch == null
        ? now
        : Math.max(0, batch.millilitres() - bin.drawnMillilitres());
  }

  /** The salinity of what is in it, PSU: measured, or as confirmed, or as configured. */
  double psu() {
    Signal sensor = turn.signal(spec.bin().salinitySensor());
    BinMemory.Batch batch = bin.batch();
    return sensor != null && sensor.good()
        ? sensor.value()
        : batch == null ? spec.bin().salinityPsu() : batch.microPsu() / 1e6;
  }

  /** The new water as its rules look at it. */
  NewWater.World world() {
    BinMemory.Batch batch = bin.batch();
    return new NewWater.World(
        spec.bin(),
        batch != null,
        mixed(),
        batch == null ? 0 : (batch.millilitres() - bin.drawnMillilitres()) / 1000.0,
        volume,
        bin.leftMillilitres() == BinMemory.UNKNOWN ? Double.NaN : bin.leftMillilitres() / 1000.0);
  }

  /**
   * Why what was confirmed is not warm enough or too warm for this tank; null when it is, or when a
   * sensor in the bin watches over that.
   */
  @Nullable String temperatureFlaw() {
    BinMemory.Batch batch = bin.batch();
    Long milliCelsius = batch == null ? null : batch.milliCelsius();
    String flaw =
        milliCelsius == null || spec.bin().temperatureSensor() != null
            ? null
            : NewWater.temperatureFlaw(
                milliCelsius / 1000.0, turn.signal(spec.temperatureSensor()));
    return flaw == null ? null : "the new water as it was confirmed: " + flaw;
  }

  /** What mixed once has mixed, whatever becomes of the clock in the middle of a portion. */
  private @Nullable Duration mixed() {
    if (bin.mixed()) {
      return null;
    }
    String boot = turn.before.boot();
    BinMemory.Batch batch = bin.batch();
    return batch != null
        ? batch.mixed(boot, turn.now)
        : bin.filled() == null ? null : bin.filled().age(boot, turn.now);
  }

  /**
   * Sees whether somebody filled the bin, or took water out of it.
   *
   * @param drawn whether a portion may be drawing from it
   */
  void watch(boolean drawn) {
    NewWater.World world = world();
    boolean filled = NewWater.filled(world);
    if (!filled && (drawn || !NewWater.taken(world))) {
      oddNanos = null;
      return;
    }
    Long since = oddNanos;
    if (since == null) {
      oddNanos = turn.now.monoNanos();
    } else if (turn.now.since(since) >= ODD_NANOS) {
      tell(world, filled);
      oddNanos = null;
    }
  }

  private void tell(NewWater.World world, boolean filled) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.BIN, spec.bin().name());
    fields.put(Fields.BIN_ML, PortionClerk.measured(volume == null ? Double.NaN : volume.value()));
    if (filled) {
      turn.write(Kind.NEW_WATER, NewWater.filledWhy(world), fields);
    } else {
      fields.put(Fields.NAME, "new-water-taken");
      turn.write(Kind.NOTICE, NewWater.takenWhy(world), fields);
    }
  }
}
