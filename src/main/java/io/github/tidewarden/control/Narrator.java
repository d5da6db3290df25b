package io.github.tidewarden.control;

import io.github.tidewarden.control.Story.Course;
import io.github.tidewarden.dosing.OzoneDosing;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.gate.Lease;
import io.github.tidewarden.interlock.Event;
import io.github.tidewarden.interlock.Stop;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.schedule.OpenWindow;
import io.github.tidewarden.sensing.ByName;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Quality;
import io.github.tidewarden.sensing.Sensor;
import io.github.tidewarden.sensing.SensorSpec;
import io.github.tidewarden.sensing.Signal;
import java.math.BigDecimal;
import java.math.RoundingMode;
import java.time.Duration;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.TreeSet;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/**
 * Tells what happens in one turn: records for the audit and the tank's own topics. Decides nothing.
 * Every kind of record that could repeat without end is told only when it changes, and not more
 * often than {@link #QUIET_NANOS}.
 */
final class Narrator {

  /** Shortest time between two records of the same signal's quality or of refusals. */
  static final long QUIET_NANOS = TimeUnit.SECONDS.toNanos(10);

  /** Shortest time between two publications of the state topic that differ only in figures. */
  static final long STATE_NANOS = TimeUnit.SECONDS.toNanos(10);

  private final Turn turn;
  private ByName<Story.Told> qualities;
  private final Alarms alarms;
  private Course window;
  private Course run;
  private String refusal;
  private @Nullable Long refusalNanos;
  private String refusalText;
  private Story.@Nullable Shown shown;
  private long shownNanos;

  private String exchangeWhy = "";
  private String proposal = "";
  private boolean courseGoesOn;

  Narrator(Turn turn) {
    this.turn = turn;
    Story story = turn.before.story();
    qualities = turn.tank.sensorNames.of(story.qualities());
    alarms = new Alarms(turn, this, story);
    window = story.window();
    run = story.run();
    refusal = story.refusal();
    refusalNanos = story.refusalNanos();
    refusalText = story.refusalText();
    shown = story.shown();
    shownNanos = story.shownNanos();
  }

  Story story() {
    return new Story(
        window,
        run,
        refusal,
        refusalNanos,
        refusalText,
        qualities,
        alarms.trips(),
        alarms.quiets(),
        shown,
        shownNanos);
  }

  /** A redox value that was believed is one more point of the courses. */
  void hears(SensorSpec spec, Sensor was, Sensor is) {
    OzoneSpec ozone = turn.tank.spec.ozone();
    courseGoesOn |=
        ozone != null
            && ozone.probes().contains(spec.name())
            && is.arrivalNumber() != was.arrivalNumber();
  }

  /** Once the signals of this turn are known: the highest good probe goes into the courses. */
  void followsRedox() {
    Double highest = courseGoesOn ? highestRedox(turn.signals) : null;
    if (highest != null) {
      Double corrected = correctedRedox();
      window = window.with(highest, corrected);
      run = run.with(highest, corrected);
    }
  }

  /** Of the good probes; null for none. */
  private @Nullable Double highestRedox(ByName<Signal> signals) {
    Double highest = null;
    for (Signal raw : turn.probes) {
      Signal probe = Objects.requireNonNull(signals.get(raw.name()));
      if (probe.good() && (highest == null || Double.compare(probe.value(), highest) > 0)) {
        highest = probe.value();
      }
    }
    return highest;
  }

  /** The same corrected; null also where none is. */
  private @Nullable Double correctedRedox() {
    return turn.corrects() ? highestRedox(turn.corrected) : null;
  }

  /** Events of interlocks, signals and devices. */
  void tells(List<Event> events) {
    alarms.tell(events);
  }

  /** After a connect: what stands is told again, and what does not is taken back. */
  void tellsAllTrips() {
    alarms.tellAllTrips();
    shown = null;
  }

  /** Why a wanted run does not begin; only when the causes change. */
  void tellsRefusal(OzoneDosing.Proposal proposed, List<Stop> stops) {
    proposal = proposed.why();
    boolean runs = turn.lease != null;
    if (turn.window == null || runs || turn.pending != null) {
      refusal = turn.window == null || runs ? "" : refusal;
      return;
    }
    List<String> causes = new ArrayList<>();
    TreeSet<String> names = new TreeSet<>();
    for (Stop stop : stops) {
      if (stop.function() == TankFunction.OZONE) {
        causes.add(stop.name() + ": " + stop.why());
        names.add(stop.name());
      }
    }
    refusalText = causes.isEmpty() ? "" : causes.get(0);
    String key = String.join(" ", names);
    Long told = refusalNanos;
    if (!causes.isEmpty()
        && !key.equals(refusal)
        && (told == null || turn.now.since(told) >= QUIET_NANOS)) {
      refusal = key;
      refusalNanos = turn.now.monoNanos();
      Map<String, Object> fields = new LinkedHashMap<>();
      fields.put(Fields.CAUSES, causes);
      fields.putAll(vector());
      turn.write(Kind.REFUSED, causes.get(0), fields);
    }
  }

  /** A signal that became good, uncertain or bad. */
  void tellsQualities() {
    for (int place = 0; place < turn.tank.sensors.size(); place++) {
      Signal signal = Objects.requireNonNull(turn.signals.at(place));
      Story.Told told = qualities.at(place);
      boolean changed = told == null ? signal.good() : told.quality() != signal.quality();
      if (changed && (told == null || turn.now.since(told.sinceNanos()) >= QUIET_NANOS)) {
        qualities =
            qualities.with(signal.name(), new Story.Told(signal.quality(), turn.now.monoNanos()));
        Map<String, Object> fields = new LinkedHashMap<>();
        fields.put("signal", signal.name());
        fields.put("quality", word(signal.quality()));
        turn.write(
            Kind.QUALITY,
            signal.name() + " is " + (signal.good() ? "good" : signal.reason()),
            fields);
      }
    }
  }

  // The course of windows and runs.

  void windowOpens() {
    window = Course.NONE;
    courseGoesOn = true;
    refusal = "";
    refusalNanos = null;
    refusalText = "";
  }

  void windowCloses(LocalDate night, long runs, String why, Map<String, Object> fields) {
    long given = turn.memory.spentInNightMillis(night);
    fields.put("runs", runs);
    fields.put(Fields.GIVEN_MS, given);
    fields.put(Fields.GIVEN_MG, milligrams(given));
    course("redox", window, fields);
    boolean missed = runs == 0 && !refusalText.isEmpty();
    turn.write(
        missed ? Kind.MISSED : Kind.WINDOW_CLOSED,
        missed ? "nothing was given: " + refusalText : why,
        fields);
  }

  void runBegins() {
    Double highest = highestRedox(turn.signals);
    run = highest == null ? Course.NONE : Course.NONE.with(highest, correctedRedox());
  }

  Map<String, Object> runCourse() {
    Map<String, Object> fields = new LinkedHashMap<>();
    course("run-redox", run, fields);
    return fields;
  }

  private void course(String name, Course course, Map<String, Object> fields) {
    Map<String, Object> figures = new LinkedHashMap<>();
    put(figures, "start-mv", course.start());
    put(figures, "peak-mv", course.peak());
    put(figures, "end-mv", course.last());
    if (turn.corrects()) {
      put(figures, "corrected-peak-mv", course.correctedPeak());
    }
    fields.put(name, figures);
  }

  private static void put(Map<String, Object> figures, String name, @Nullable Double millivolts) {
    if (millivolts != null) {
      figures.put(name, Measure.REDOX.figure(millivolts));
    }
  }

  /** Ozone that the generator gives in a time by its rated output, mg; never told as less. */
  BigDecimal milligrams(long millis) {
    OzoneSpec ozone = turn.tank.spec.ozone();
    double rated = ozone == null ? 0 : ozone.ratedMilligramsPerHour();
    return BigDecimal.valueOf(rated)
        .multiply(BigDecimal.valueOf(millis))
        .divide(BigDecimal.valueOf(TimeUnit.HOURS.toMillis(1)), 2, RoundingMode.CEILING);
  }

  // What a decision was taken on.

  /** Every signal, limit and allowance in force: the vector that a decision was taken on. */
  Map<String, Object> vector() {
    Map<String, Object> fields = new LinkedHashMap<>();
    Map<String, Object> seen = new LinkedHashMap<>();
    turn.signals.values().forEach(signal -> seen.put(signal.name(), figures(signal)));
    fields.put("signals", seen);
    OzoneSpec ozone = turn.tank.spec.ozone();
    if (ozone != null) {
      Map<String, Object> limits = new LinkedHashMap<>();
      limits.put("start-below-mv", Measure.REDOX.figure(ozone.startBelowMillivolts()));
      limits.put("stop-above-mv", Measure.REDOX.figure(ozone.stopAboveMillivolts()));
      limits.put("ceiling-mv", Measure.REDOX.figure(ozone.ceilingMillivolts()));
      fields.put("limits", limits);
      OpenWindow open = turn.window;
      if (open != null) {
        long spent = turn.memory.spentInNightMillis(open.night());
        fields.put("allowance-left-ms", ozone.mostPerNightNanos() / 1_000_000 - spent);
        fields.put(
            "window-left-ms", Duration.between(turn.now.wall(), open.interval().end()).toMillis());
      }
    }
    Lease lease = turn.lease;
    if (lease != null) {
      fields.put("lease-s", (long) lease.seconds());
    }
    return fields;
  }

  private Map<String, Object> figures(Signal signal) {
    Map<String, Object> figures = new LinkedHashMap<>();
    if (signal.heard()) {
      figures.put("value", signal.measure().figure(signal.value()));
      BigDecimal corrected = ProbeKeeper.figure(signal, turn.corrected);
      if (corrected != null) {
        figures.put("corrected", corrected);
      }
      figures.put("unit", signal.measure().unit());
      figures.put("age-ms", signal.ageNanos() / 1_000_000);
    }
    figures.put("quality", word(signal.quality()));
    if (!signal.good()) {
      figures.put("reason", signal.reason());
    }
    return figures;
  }

  private static String word(Quality quality) {
    return switch (quality) {
      case GOOD -> "good";
      case UNCERTAIN -> "uncertain";
      case BAD -> "bad";
    };
  }

  // The tank's state topic.

  private String exchange() {
    return turn.water.rule().phase().name().toLowerCase(Locale.ROOT);
  }

  /** Why the exchange does what it does. */
  void tellsExchange(String why) {
    exchangeWhy = why;
  }

  private static Set<String> names(List<Stop> stops) {
    Set<String> names = stops.isEmpty() ? Set.of() : new TreeSet<>();
    for (Stop stop : stops) {
      names.add(stop.name());
    }
    return names;
  }

  /** The retained state: at once when something changed, else now and then. */
  void tellsState(List<Stop> stops) {
    boolean runsNow = turn.lease != null;
    Story.Shown next =
        new Story.Shown(
            runsNow,
            turn.water.rule().phase(),
            exchangeWhy,
            turn.window != null,
            names(stops),
            turn.memory.latches().keySet());
    boolean same = shown != null && next.saysWhat(shown);
    if (same && turn.now.since(shownNanos) < STATE_NANOS) {
      return;
    }
    shown = next;
    shownNanos = turn.now.monoNanos();
    Map<String, Object> content = new LinkedHashMap<>();
    content.put("at", Figures.recordTime(turn.now.wall()));
    content.put("ozone", turn.tank.spec.ozone() == null ? "none" : runsNow ? "run" : "rest");
    content.put(
        "why", stops.isEmpty() ? proposal : stops.get(0).name() + ": " + stops.get(0).why());
    if (turn.tank.spec.exchange() != null) {
      content.put("exchange", exchange());
      content.put("exchange-why", exchangeWhy);
    }
    content.put("window", turn.window == null ? "closed" : "open");
    content.put("given-ms", turn.memory.spentInNightMillis(turn.plan.night()));
    content.put("latched", List.copyOf(turn.memory.latches().keySet()));
    Map<String, Object> seen = new LinkedHashMap<>();
    turn.signals.values().forEach(signal -> seen.put(signal.name(), figures(signal)));
    content.put("signals", seen);
    Map<String, Object> calibrations = turn.calibrations();
    if (!calibrations.isEmpty()) {
      content.put("calibrations", calibrations);
    }
    content.putAll(turn.care.told());
    turn.others.add(new Effect.Tell(turn.tank.spec.name() + "/state", content));
  }
}
