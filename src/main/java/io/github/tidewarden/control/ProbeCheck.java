package io.github.tidewarden.control;

import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Amount;
import io.github.tidewarden.quantity.Dimension;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.NotAnAmountException;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.schedule.NightPlan;
import io.github.tidewarden.schedule.Nights;
import io.github.tidewarden.science.CheckSolution;
import io.github.tidewarden.science.CheckSource;
import io.github.tidewarden.science.Electrodes;
import io.github.tidewarden.science.ExpectedRedox;
import io.github.tidewarden.science.ProbeCorrection;
import io.github.tidewarden.science.ProbeVerdict;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Settling;
import io.github.tidewarden.sensing.Signal;
import java.time.Duration;
import java.time.Instant;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Objects;
import java.util.stream.Collectors;
import org.jspecify.annotations.Nullable;

/**
 * A redox probe stands in a solution of known redox: what it reads there is taken from the daemon's
 * own readings, and compared with what was published.
 *
 * @param probe the probe's name
 * @param source whose figure is taken; null for the keeper's own
 * @param value what a sound probe reads by the keeper's own figure, mV against the tank's reference
 *     electrode; NaN where there is a source
 * @param celsius temperature of the solution
 * @param text a remark
 */
record ProbeCheck(
    String probe, @Nullable CheckSource source, double value, double celsius, String text)
    implements Deed {

  /** Two solutions make a slope when they follow each other so closely. */
  static final Duration TOGETHER = Duration.ofHours(1);

  /** No window may open so soon: the probe has to be rinsed, and to find back to the water. */
  static final Duration BEFORE_WINDOW = Duration.ofMinutes(30);

  /**
   * Most that a slope may be off 1. For a probe of platinum it is 1 by nature; a tenth is common
   * practice for electrodes, from memory.
   */
  static final double MOST_SLOPE_OFF = 0.1;

  /** What stands for a solution of which only the keeper knows the redox. */
  private static final String OWN = "own";

  private static final String OWN_FIGURE = "the keeper's own figure";

  private static final String HOLD_FIRST =
      "; hold it first (`hold --function ozone --for 2h`), for a probe that is out of the water"
          + " guards nothing";

  /**
   * Reads it from a request.
   *
   * @throws Deed.RefusedException when something is missing or out of bounds
   */
  static ProbeCheck read(KeeperAct act) throws Deed.RefusedException {
    String probe = act.word("name", "which probe");
    String in = act.word("in", "what the probe stands in");
    double celsius =
        act.amount("temperature", Dimension.TEMPERATURE, null).in(UnitCode.DEGREE_CELSIUS);
    if (!(celsius >= Electrodes.MIN_CELSIUS && celsius <= Electrodes.MAX_CELSIUS)) {
      throw new Deed.RefusedException(
          "a temperature of " + celsius(celsius) + " is not between 10 and 40 °C");
    }
    for (CheckSolution solution : CheckSolution.values()) {
      if (solution.word().equals(in)) {
        CheckSource source = source(solution, act.said(Fields.SOURCE));
        if (!(celsius >= source.minCelsius() && celsius <= source.maxCelsius())) {
          throw new Deed.RefusedException(
              source.title()
                  + " tells of this solution from "
                  + celsius(source.minCelsius())
                  + " to "
                  + celsius(source.maxCelsius())
                  + ", not at "
                  + celsius(celsius));
        }
        return new ProbeCheck(probe, source, Double.NaN, celsius, act.text());
      }
    }
    return new ProbeCheck(probe, null, millivolts(in), celsius, act.text());
  }

  private static CheckSource source(CheckSolution solution, String word)
      throws Deed.RefusedException {
    List<CheckSource> sources = CheckSource.of(solution);
    for (CheckSource source : sources) {
      if (word.isEmpty() || source.word().equals(word)) {
        return source;
      }
    }
    throw new Deed.RefusedException(
        "no source of "
            + solution.word()
            + " is named \""
            + word
            + "\"; there is "
            + sources.stream().map(CheckSource::word).collect(Collectors.joining(" and ")));
  }

  private static double millivolts(String in) throws Deed.RefusedException {
    try {
      double value = Amount.parse(in, Dimension.POTENTIAL).in(UnitCode.MILLIVOLT);
      if (value >= Measure.REDOX.plausibleLow() && value <= Measure.REDOX.plausibleHigh()) {
        return value;
      }
      throw new Deed.RefusedException("in: " + in + " is not between 50 and 700 mV");
    } catch (NotAnAmountException e) {
      throw new Deed.RefusedException(
          "in: \""
              + in
              + "\" is none of "
              + Arrays.stream(CheckSolution.values())
                  .map(CheckSolution::word)
                  .collect(Collectors.joining(", "))
              + ", and no redox such as 228 mV");
    }
  }

  @Override
  public Deed.Recorded judge(Deed.Place place) throws Deed.RefusedException {
    OzoneSpec ozone = place.ozone(probe);
    refuseWhereOzoneMayRun(place, ozone);
    double measured = settled(place, ozone);
    double published = published(Electrodes.Reference.named(ozone.reference()));
    double off = measured - published;
    ProbeVerdict verdict = ProbeVerdict.of(off);
    if (verdict == ProbeVerdict.REPLACE) {
      return unfit(
          ozone,
          published,
          measured,
          reads(ozone, measured, published)
              + ", "
              + told(Math.abs(off))
              + " off, and "
              + told(ProbeVerdict.USABLE_MILLIVOLTS)
              + " is the most");
    }
    ProbeMemory first = first(place, ozone, published);
    if (first == null) {
      return fit(ozone, published, measured, verdict, null, new ProbeCorrection(1, -off));
    }
    double span = first.publishedMillivolts() - published;
    double moved = first.measuredMillivolts() - measured;
    if (!(Math.abs(span / moved - 1) <= MOST_SLOPE_OFF)) {
      return unfit(
          ozone,
          published,
          measured,
          "from "
              + first.solution()
              + " to here it moved by "
              + told(moved)
              + " where "
              + told(span)
              + " is right; a slope of "
              + figure(span / moved, 3)
              + " is more than a tenth off");
    }
    ProbeCorrection ofTwo =
        ProbeCorrection.of(
            first.publishedMillivolts(), first.measuredMillivolts(), published, measured);
    return fit(ozone, published, measured, verdict, first, ofTwo);
  }

  private static void refuseWhereOzoneMayRun(Deed.Place place, OzoneSpec ozone)
      throws Deed.RefusedException {
    TankState state = place.state();
    if (state.lease() != null || state.pending() != null) {
      throw new Deed.RefusedException("ozone runs, or is about to" + HOLD_FIRST);
    }
    boolean held =
        place.holds().stream()
            .anyMatch(
                hold ->
                    hold.name().equals(Deed.WHOLE)
                        || hold.name().equals(TankFunction.OZONE.word()));
    Instant now = place.now().wall();
    if (!held && (opens(place, ozone, now) || opens(place, ozone, now.plus(BEFORE_WINDOW)))) {
      throw new Deed.RefusedException(
          "a window for ozone is open, or opens within 30 min, and ozone is not held" + HOLD_FIRST);
    }
  }

  /** Whether a window is open at an instant, or has opened in the half hour before it. */
  private static boolean opens(Deed.Place place, OzoneSpec ozone, Instant at) {
    NightPlan plan =
        NightPlan.of(Nights.nightOf(at, place.tank().zone), place.tank().zone, ozone.windows());
    return plan.openAt(at) != null
        || (at.isAfter(place.now().wall())
            && plan.windows().stream()
                .anyMatch(
                    window ->
                        window.interval().start().isAfter(place.now().wall())
                            && !window.interval().start().isAfter(at)));
  }

  private double settled(Deed.Place place, OzoneSpec ozone) throws Deed.RefusedException {
    Signal signal = Objects.requireNonNull(place.signal(probe));
    if (!signal.good()) {
      throw new Deed.RefusedException(probe + " is " + signal.reason());
    }
    Settling.Verdict settled =
        place.state().settling().get(ozone.probes().indexOf(probe)).verdict(place.now());
    if (!settled.settled()) {
      throw new Deed.RefusedException(probe + " has not settled: " + settled.flaw());
    }
    return settled.millivolts();
  }

  private double published(Electrodes.Reference reference) {
    return source == null ? value : new ExpectedRedox(source, reference, celsius).millivolts();
  }

  /** The calibration shortly before in a solution far from this one; null for none. */
  private @Nullable ProbeMemory first(Deed.Place place, OzoneSpec ozone, double published) {
    ProbeMemory known = place.state().memory().probes().get(probe);
    return known != null
            && !known.unfit()
            && known.reference().equals(ozone.reference())
            && Math.abs(known.ageMillis(place.state().boot(), place.now())) <= TOGETHER.toMillis()
            && ProbeCorrection.tellSlope(known.publishedMillivolts(), published)
        ? known
        : null;
  }

  private Deed.Recorded fit(
      OzoneSpec ozone,
      double published,
      double measured,
      ProbeVerdict verdict,
      @Nullable ProbeMemory first,
      ProbeCorrection correction) {
    String told =
        "calibrated "
            + probe
            + " in "
            + (source == null ? "a solution of their own" : solution())
            + " at "
            + celsius(celsius)
            + ": "
            + reads(ozone, measured, published)
            + (first == null ? "" : "; with " + first.solution() + " slope " + slope(correction))
            + "; offset "
            + told(correction.offsetMillivolts())
            + (verdict == ProbeVerdict.AS_NEW ? ", as a new probe" : ", usable");
    return recorded(ozone, published, measured, verdict, first, correction, told);
  }

  /**
   * One that is too far off to be corrected is recorded too: what an earlier calibration said of it
   * is true no more, and no ozone starts by it.
   */
  private Deed.Recorded unfit(OzoneSpec ozone, double published, double measured, String flaw) {
    return recorded(
        ozone,
        published,
        measured,
        ProbeVerdict.REPLACE,
        null,
        new ProbeCorrection(1, 0),
        "found "
            + probe
            + " unfit: "
            + flaw
            + "; see that it is this solution and this probe, clean it and take fresh solution, or"
            + " replace it: no ozone starts before it is calibrated");
  }

  private Deed.Recorded recorded(
      OzoneSpec ozone,
      double published,
      double measured,
      ProbeVerdict verdict,
      @Nullable ProbeMemory first,
      ProbeCorrection correction,
      String told) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.SOLUTION, solution());
    fields.put(Fields.SOURCE, title());
    fields.put(Fields.REFERENCE, ozone.reference());
    fields.put(Fields.TEMPERATURE_MCEL, Math.round(celsius * 1e3));
    fields.put(Fields.PUBLISHED_UV, ProbeMemory.microvolts(published));
    fields.put(Fields.MEASURED_UV, ProbeMemory.microvolts(measured));
    fields.put(Fields.SLOPE_PPM, ProbeMemory.millionths(correction.slope()));
    fields.put(Fields.OFFSET_UV, ProbeMemory.microvolts(correction.offsetMillivolts()));
    fields.put(Fields.UNFIT, verdict == ProbeVerdict.REPLACE);
    fields.put("with", first == null ? "" : first.solution());
    fields.put("verdict", verdict.name().toLowerCase(Locale.ROOT).replace('_', '-'));
    return new Deed.Recorded(probe, text, told + Deed.because(text), fields);
  }

  private String solution() {
    return source == null ? OWN : source.solution().word();
  }

  private String title() {
    return source == null ? OWN_FIGURE : source.title();
  }

  private String reads(OzoneSpec ozone, double measured, double published) {
    return "it reads "
        + told(measured)
        + " where "
        + told(published)
        + " is right by "
        + title()
        + ", against "
        + ozone.reference();
  }

  private static String slope(ProbeCorrection correction) {
    return figure(correction.slope(), 3);
  }

  private static String told(double millivolts) {
    return Measure.REDOX.told(millivolts);
  }

  private static String celsius(double celsius) {
    return figure(celsius, 1) + " °C";
  }

  private static String figure(double value, int decimals) {
    return Figures.decimal(value, decimals).toPlainString();
  }
}
