package io.github.tidewarden.control;

import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.exchange.NewWater;
import io.github.tidewarden.exchange.Portion;
import io.github.tidewarden.exchange.Rates;
import io.github.tidewarden.exchange.SaltWatch;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Amount;
import io.github.tidewarden.quantity.Dimension;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.sensing.Signal;
import java.time.Duration;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;

/** What a keeper can ask for. Each is read from a request, judged on the tank, and recorded. */
sealed interface Deed
    permits Deed.Reset,
        Deed.Note,
        Deed.Batch,
        Deed.Calibrate,
        ProbeCheck,
        Cleaning,
        CarbonNote,
        ResidualNote,
        SkimmerNote,
        Holding,
        Release {
  String RESET = "reset";
  String NOTE = "note";
  String BATCH = "batch";
  String CALIBRATE = "calibrate";
  String CALIBRATE_PROBE = "calibrate-probe";
  String HOLD = "hold";
  String RELEASE = "release";

  List<String> WORDS = List.of(RESET, NOTE, BATCH, CALIBRATE, CALIBRATE_PROBE, HOLD, RELEASE);

  /** What makes a note more than a remark; one of them at most. */
  List<String> OF_NOTES = List.of(Fields.CLEANED, Fields.CARBON, Fields.RESIDUAL, Fields.SKIMMER);

  /** The tank as a deed is judged on it. */
  record Place(Tank tank, TankState state, BinMemory bin, Moment now) {

    private ExchangeSpec exchange() throws RefusedException {
      ExchangeSpec exchange = tank.spec.exchange();
      if (exchange == null) {
        throw new RefusedException(tank.spec.name() + " has no exchange of water");
      }
      return exchange;
    }

    /** The ozone that goes by a redox probe of this name. */
    OzoneSpec ozone(String probe) throws RefusedException {
      OzoneSpec ozone = tank.spec.ozone();
      if (ozone == null) {
        throw new RefusedException(tank.spec.name() + " has no ozone, so none goes by a probe");
      }
      if (!ozone.probes().contains(probe)) {
        throw new RefusedException(
            "there is no redox probe \""
                + probe
                + "\"; it is "
                + String.join(" or ", ozone.probes()));
      }
      return ozone;
    }

    /** What keepers hold of the tank now. */
    List<Hold> holds() {
      return state.memory().holds().stream()
          .filter(hold -> hold.stands(state.boot(), now))
          .toList();
    }

    /** Holds in the keeper's words, behind what comes before them; empty for none. */
    String told(String before, Stream<Hold> holds, String after) {
      String told =
          holds
              .map(hold -> hold.name() + " " + hold.told(tank.zone))
              .collect(Collectors.joining("; "));
      return told.isEmpty() ? "" : before + told + after;
    }

    @Nullable Signal signal(@Nullable String name) {
      return name == null ? null : tank.signals(state.sensors(), now).get(name);
    }
  }

  /** What is to be recorded, beside who and when. */
  record Recorded(String name, String text, String told, Map<String, Object> fields) {}

  /**
   * Judges it.
   *
   * @throws RefusedException when it cannot be done now, saying why
   */
  Recorded judge(Place place) throws RefusedException;

  /**
   * Whether all it does is to forbid. Such a deed takes effect before it is on disk, as any rest
   * does.
   */
  default boolean onlyForbids() {
    return false;
  }

  /**
   * Reads it from a request.
   *
   * @throws RefusedException when something is missing or out of bounds, saying what would be right
   */
  static Deed read(KeeperAct act) throws RefusedException {
    return switch (act.act()) {
      case RESET -> new Reset(act.word("name", "what to reset"), act.text());
      case NOTE -> note(act);
      case BATCH ->
          new Batch(
              act.amount("salinity", Dimension.SALINITY, null),
              act.amount("temperature", Dimension.TEMPERATURE, null),
              act.amount("mixed-for", Dimension.TIME, null),
              act.said("volume").isEmpty() ? null : act.amount("volume", Dimension.VOLUME, null),
              act.text());
      case CALIBRATE ->
          new Calibrate(
              act.word("name", "which pump"),
              act.amount("measured", Dimension.VOLUME, null),
              act.amount("for", Dimension.TIME, null),
              act.text());
      case CALIBRATE_PROBE -> ProbeCheck.read(act);
      case HOLD ->
          new Holding(
              function(act),
              act.said("for").isEmpty() ? null : act.amount("for", Dimension.TIME, null),
              act.said("until"),
              act.text());
      case RELEASE -> new Release(function(act), act.said("until"), act.text());
      default ->
          throw new RefusedException(
              "\"" + act.act() + "\" is none of " + String.join(", ", WORDS));
    };
  }

  /** A remark, or what was done that the daemon has to know of. */
  private static Deed note(KeeperAct act) throws RefusedException {
    List<String> told = OF_NOTES.stream().filter(field -> !act.said(field).isEmpty()).toList();
    if (told.size() > 1) {
      throw new RefusedException(
          String.join(" and ", told) + " are of notes of their own; send one for each");
    }
    return switch (told.isEmpty() ? "" : told.get(0)) {
      case Fields.CLEANED -> new Cleaning(act.said(Fields.CLEANED), act.text());
      case Fields.CARBON -> CarbonNote.read(act);
      case Fields.RESIDUAL -> ResidualNote.read(act);
      case Fields.SKIMMER -> SkimmerNote.read(act);
      default ->
          new Note(
              act.word("text", "what to note"), act.amount("skimmate", Dimension.VOLUME, "0 L"));
    };
  }

  /** What a hold is on when it is on the whole tank. */
  String WHOLE = "tank";

  private static String function(KeeperAct act) throws RefusedException {
    String name = act.said("name").isEmpty() ? WHOLE : act.said("name");
    List<String> known =
        Stream.concat(
                Stream.of(WHOLE), Arrays.stream(TankFunction.values()).map(TankFunction::word))
            .toList();
    if (!known.contains(name)) {
      throw new RefusedException("\"" + name + "\" is none of " + String.join(", ", known));
    }
    return name;
  }

  /** A reason given, behind what was done. */
  static String because(String text) {
    return text.isBlank() ? "" : ": " + text;
  }

  /** Lets go of a latch whose cause is over. */
  record Reset(String name, String text) implements Deed {
    @Override
    public Recorded judge(Place place) throws RefusedException {
      String flaw = place.tank().whyNoReset(place.state(), name, place.now());
      if (flaw != null) {
        throw new RefusedException(flaw);
      }
      Map<String, Object> fields = new LinkedHashMap<>();
      ExchangeSpec exchange = place.tank().spec.exchange();
      Portion given = place.state().memory().water().portion();
      if (exchange != null && given != null && WaterMemory.faults(name)) {
        fields.put(Fields.BIN, exchange.bin().name());
        fields.put(Fields.PORTION_ML, given.millilitres());
        Signal left = place.signal(exchange.bin().volumeSensor());
        fields.put(
            Fields.BIN_ML,
            left == null || !left.good() ? BinMemory.UNKNOWN : Math.round(left.value() * 1000));
      }
      return new Recorded(name, text, "reset " + name + because(text), fields);
    }
  }

  /** A remark, and skimmate that was emptied. */
  record Note(String text, Amount skimmate) implements Deed {
    @Override
    public Recorded judge(Place place) throws RefusedException {
      Map<String, Object> fields = new LinkedHashMap<>();
      double litres = skimmate.in(UnitCode.LITRES);
      if (litres != 0) {
        double water = place.tank().spec.waterLitres();
        if (!(litres > 0 && litres <= water / 10)) {
          throw new RefusedException(
              "skimmate of " + skimmate + " is not between nothing and a tenth of the water");
        }
        fields.put(Fields.SKIMMATE_ML, Math.round(litres * 1000));
        long last = place.state().memory().water().salt().last();
        double psu = last == SaltMemory.UNKNOWN ? SaltWatch.USUAL_PSU : last / 1e6;
        fields.put(Fields.SALT, Math.round(SaltWatch.skimmate(psu, litres) * 1e3));
      }
      String emptied =
          litres == 0 ? "" : " (" + Figures.brief(litres, UnitCode.LITRES) + " skimmate)";
      return new Recorded("", text, "noted: " + text + emptied, fields);
    }
  }

  /** New water in the bin, measured and fit for the tank. */
  record Batch(
      Amount salinity, Amount temperature, Amount mixedFor, @Nullable Amount volume, String text)
      implements Deed {
    @Override
    public Recorded judge(Place place) throws RefusedException {
      ExchangeSpec exchange = place.exchange();
      ExchangeSpec.Bin bin = exchange.bin();
      double psu = salinity.in(UnitCode.PSU);
      double celsius = temperature.in(UnitCode.DEGREE_CELSIUS);
      Signal tank = place.signal(exchange.temperatureSensor());
      refuse(NewWater.salinityFlaw(bin, psu));
      refuse(NewWater.temperatureFlaw(celsius, tank));
      Signal left = place.signal(bin.volumeSensor());
      double litres = litres(bin, left);
      if (!(mixedFor.nanos() >= 0 && mixedFor.nanos() <= Duration.ofDays(60).toNanos())) {
        throw new RefusedException("mixed for " + mixedFor + " is not between 0 and 60 days");
      }
      Map<String, Object> fields = new LinkedHashMap<>();
      fields.put(Fields.BIN, bin.name());
      fields.put(Fields.SALINITY_UPSU, Math.round(psu * 1e6));
      fields.put(Fields.TEMPERATURE_MCEL, Math.round(celsius * 1e3));
      fields.put(Fields.MIXED_MS, mixedFor.nanos() / 1_000_000);
      fields.put(Fields.VOLUME_ML, Math.round(litres * 1000));
      fields.put(Fields.BIN_ML, left == null ? BinMemory.UNKNOWN : Math.round(left.value() * 1000));
      return new Recorded(
          bin.name(),
          text,
          "confirmed new water for "
              + bin.name()
              + ": "
              + Figures.brief(litres, UnitCode.LITRES)
              + " of "
              + Figures.brief(psu, UnitCode.PSU)
              + ", "
              + Figures.decimal(celsius, 1)
              + " °C"
              + ", mixed for "
              + Figures.span(mixedFor.nanos())
              + because(text),
          fields);
    }

    private double litres(ExchangeSpec.Bin bin, @Nullable Signal left) throws RefusedException {
      Amount said = volume;
      if (left != null && !left.good()) {
        throw new RefusedException(
            left.name() + " is " + left.reason() + ", so nobody knows how much it is");
      }
      if (left != null) {
        return left.value();
      }
      double litres = said == null ? bin.holdsLitres() : said.in(UnitCode.LITRES);
      if (!(litres > 0 && litres <= bin.holdsLitres())) {
        throw new RefusedException(
            said + " is not between nothing and what the bin holds, " + bin.holdsLitres() + " L");
      }
      return litres;
    }

    private static void refuse(@Nullable String flaw) throws RefusedException {
      if (flaw != null) {
        throw new RefusedException(flaw);
      }
    }
  }

  /** What a pump moved into a measuring jug. */
  record Calibrate(String pump, Amount measured, Amount ranFor, String text) implements Deed {

    private static final Duration SHORTEST = Duration.ofSeconds(30);
    private static final Duration LONGEST = Duration.ofHours(2);

    @Override
    public Recorded judge(Place place) throws RefusedException {
      ExchangeSpec exchange = place.exchange();
      ExchangeSpec.Pump drain = exchange.drain();
      ExchangeSpec.Pump fill = exchange.fill();
      if (!pump.equals(drain.name()) && !pump.equals(fill.name())) {
        throw new RefusedException(
            "there is no pump \"" + pump + "\"; it is " + drain.name() + " or " + fill.name());
      }
      if (place.state().memory().water().portion() != null) {
        throw new RefusedException("a portion is under way; calibrate when it is done");
      }
      if (ranFor.nanos() < SHORTEST.toNanos() || ranFor.nanos() > LONGEST.toNanos()) {
        throw new RefusedException(ranFor + " is not between 30 s and 2 h");
      }
      double configured = (pump.equals(drain.name()) ? drain : fill).litresPerMinute();
      double rate = measured.in(UnitCode.LITRES) * 60e9 / ranFor.nanos();
      if (!(Math.abs(rate / configured - 1) <= Rates.MOST_OFF)) {
        throw new RefusedException(
            told(rate)
                + " is more than 30 % off the "
                + told(configured)
                + " of the configuration; look at the pump and measure again, or set `rate`");
      }
      Map<String, Object> fields = new LinkedHashMap<>();
      fields.put(Fields.RATE, PumpMemory.microlitres(rate));
      fields.put(Fields.RATE_OF, PumpMemory.microlitres(configured));
      fields.put(Fields.DRAINS, pump.equals(drain.name()));
      return new Recorded(
          pump, text, "calibrated pump " + pump + " to " + told(rate) + because(text), fields);
    }

    private static String told(double litresPerMinute) {
      return Figures.brief(litresPerMinute * 1000, UnitCode.MILLILITRE_PER_MINUTE);
    }
  }

  /** Why a deed is not done. */
  final class RefusedException extends Exception {
    private static final long serialVersionUID = 1;

    RefusedException(String why) {
      super(why);
    }

    String why() {
      return String.valueOf(getMessage());
    }
  }
}
