package io.github.tidewarden.review;

import io.github.tidewarden.review.Happening.Sort;
import io.github.tidewarden.review.Holds.Held;
import io.github.tidewarden.review.TankNight.Totals;
import io.github.tidewarden.review.Trips.Group;
import io.github.tidewarden.review.Trips.Trip;
import io.github.tidewarden.review.Windows.Outcome;
import io.github.tidewarden.review.Windows.Window;
import java.math.BigDecimal;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.function.Consumer;
import org.jspecify.annotations.Nullable;

/** One tank's night for reading. */
final class TextTank {

  /** Most items told of one sort; the JSON and the audit have the others. */
  static final int MOST_ITEMS = 25;

  private final Page page;
  private final LocalTimes times;
  private final ReviewedSite site;

  TextTank(Page page, LocalTimes times, ReviewedSite site) {
    this.page = page;
    this.times = times;
    this.site = site;
  }

  void tell(TankNight tank, Verdict verdict, boolean withReference) {
    page.line(0, tank.name());
    page.line(2, verdict.sentence());
    ozone(tank);
    WaterNight water = tank.water();
    TextWater waters = new TextWater(page, times);
    if (water != null) {
      waters.tell(water);
    }
    if (withReference && tank.hasRedox()) {
      String reference = tank.reference();
      page.line(
          2,
          reference == null
              ? "Against which electrode its redox was measured is not known."
              : "Its redox is against " + reference + ".");
    }
    latches(tank);
    section("Probes", tank.probes(), probe -> page.item(probe.name(), probe.told(site.zone())));
    section(
        "Care",
        List.copyOf(tank.care().told(site.zone()).entrySet()),
        one -> page.item(one.getKey(), one.getValue()));
    section("Held", tank.held(), this::held);
    section("Windows", tank.windows(), window -> window(tank, window));
    section("Runs", tank.runs(), this::run);
    section("Portions", water == null ? List.of() : water.portions(), waters::portion);
    section("Trips", tank.trips(), group -> group(tank, group));
    section("Lost while in use", Repeated.of(tank.of(Sort.SILENT)), this::told);
    section("Held back", Repeated.of(heldBack(tank)), this::told);
    section("No good data", gaps(tank), gap -> page.item(gap.label(), gap.what()));
    section("Devices", Repeated.of(tank.of(Sort.DEVICE)), this::told);
    section("Faults", Repeated.of(tank.of(Sort.FAULT)), this::told);
    section("Notices", Repeated.of(tank.of(Sort.NOTICE)), this::told);
    section("Keeper", tank.acts(), this::act);
  }

  private <T> void section(String title, List<T> items, Consumer<T> tell) {
    if (!items.isEmpty()) {
      page.line(2, title);
      limited(page, items, tell);
    }
  }

  /** Tells the first of them, and how many more there are. */
  static <T> void limited(Page page, List<T> items, Consumer<T> tell) {
    int most = items.size() <= MOST_ITEMS ? items.size() : MOST_ITEMS - 1;
    items.subList(0, most).forEach(tell);
    if (most < items.size()) {
      page.item("", "and " + (items.size() - most) + " more, which are in the audit");
    }
  }

  private void ozone(TankNight tank) {
    Totals totals = tank.totals();
    Long allowance = totals.allowanceMillis();
    if (totals.countedMillis() == 0 && allowance == null && tank.runs().isEmpty()) {
      return;
    }
    page.line(
        2,
        "Ozone counted: "
            + Words.spellUp(totals.countedMillis())
            + (allowance == null
                ? " (the allowance is not recorded)"
                : " of " + Words.spell(allowance) + " allowed")
            + milligrams(tank));
    if (totals.earlierMillis() > 0) {
      page.line(
          2,
          "Of that "
              + Words.spellUp(totals.earlierMillis())
              + " had been counted before the first record read.");
    }
  }

  private static String milligrams(TankNight tank) {
    Totals totals = tank.totals();
    BigDecimal all = totals.milligrams();
    if (totals.countedMillis() == 0) {
      return ".";
    }
    if (all == null && totals.knownMilligrams().signum() == 0) {
      return "; its milligrams are not recorded.";
    }
    return all == null
        ? "; in milligrams only " + totals.knownMilligrams().toPlainString() + " are recorded."
        : ", "
            + all.toPlainString()
            + " mg by the generator's rated output"
            + perLitre(tank.milligramsPerLitre())
            + ".";
  }

  private static String perLitre(@Nullable BigDecimal milligrams) {
    return milligrams == null ? "" : ", " + milligrams.toPlainString() + " mg/L and day";
  }

  // What stands latched.

  private void latches(TankNight tank) {
    List<Latch> latches = tank.latches();
    if (latches == null || latches.isEmpty()) {
      return;
    }
    page.line(2, "Latched");
    for (Latch latch : latches) {
      Mark since = latch.since();
      page.item(
          latch.name(),
          (since == null ? "since before the first record read" : "since " + times.at(since))
              + ": "
              + Words.plainly(latch.why()));
      Act reset = latch.reset();
      if (reset != null) {
        page.item("", "reset later, " + times.at(reset.at()) + ", by " + reset.by());
      } else {
        page.item("", "When its cause is over, reset it with");
        Command.reset(site.configFile(), tank.name(), latch.name())
            .forEach(line -> page.verbatim(6, line));
      }
    }
  }

  // Windows and runs.

  private void window(TankNight tank, Window window) {
    long runs = tank.begun(window);
    StringBuilder what = new StringBuilder(outcome(window, runs));
    if (window.outcome() != Outcome.OPEN) {
      what.append(Words.plainly(window.why())).append(". ");
    }
    if (window.outcome() != Outcome.NOT_ATTENDED) {
      what.append(runs == 0 ? "No run" : Words.count(runs, "run")).append(". ");
      what.append(redox(window.redox(), known(window)));
    }
    boolean known = window.from() != null || window.to() != null;
    page.item(
        known ? times.edge(window.from()) + " to " + times.edge(window.to()) : window.id(),
        what.toString());
  }

  private String outcome(Window window, long runs) {
    Mark restarted = window.restarted();
    return switch (window.outcome()) {
      case OPEN -> "opened; no end of it is recorded. ";
      case NOT_ATTENDED -> "missed: ";
      case CLOSED -> "opened and closed: ";
      case MISSED ->
          runs == 0
              ? "missed: "
              // A window's end does not know what was given before the daemon started anew.
              : "closed; "
                  + (restarted == null ? "" : "since the start at " + times.at(restarted) + " ");
    };
  }

  /** How far a window's redox is known. */
  private String known(Window window) {
    Mark restarted = window.restarted();
    return window.isWhole()
        ? "."
        : restarted == null
            ? ", as far as its runs tell."
            : ", as far as recorded; the daemon started anew at " + times.at(restarted) + ".";
  }

  private static String redox(Redox redox, String ending) {
    if (redox.isUnknown()) {
      return "";
    }
    if (redox.peak() == null && redox.end() == null) {
      return "Redox " + figure(redox.start()) + " at first" + ending;
    }
    return "Redox "
        + figure(redox.start())
        + " at first, "
        + figure(redox.peak())
        + " at most, "
        + (redox.correctedPeak() == null ? "" : figure(redox.correctedPeak()) + " corrected, ")
        + figure(redox.end())
        + " at last"
        + ending;
  }

  private static String figure(@Nullable BigDecimal millivolts) {
    return millivolts == null ? "unknown" : millivolts.toPlainString();
  }

  private void run(RunStory run) {
    Mark began = run.began();
    Mark from = began == null ? run.first() : began;
    String label =
        switch (run.account()) {
          case SETTLED, ENDED -> {
            Mark ended = run.ended();
            yield ended == null ? times.at(from) : times.at(from) + " to " + times.at(ended);
          }
          case CUT_OFF, RESERVED -> times.at(from);
        };
    page.item(label, length(run) + milligrams(run) + redox(run.redox(), ".") + ended(run));
  }

  private static String length(RunStory run) {
    String counted = Words.spellUp(run.countedMillis());
    return switch (run.account()) {
      case SETTLED ->
          run.isReal()
              ? ran(run) + ", counted " + counted + " (" + run.settledWhy() + ")"
              : "Reserved, and did not begin";
      case ENDED -> ran(run) + "; at most " + counted + " ran, which count in full";
      case CUT_OFF ->
          (run.began() == null ? "Reserved, whether it began is not known" : "Began")
              + "; the daemon died before its end was recorded. It ran at most "
              + counted
              + ", and the whole reservation counts";
      case RESERVED ->
          (run.began() == null ? "Reserved, whether it began is not known" : "Began")
              + "; no end is recorded. It runs at most "
              + counted
              + ", and the whole reservation counts";
    };
  }

  private static String ran(RunStory run) {
    Long ran = run.ranMillis();
    if (ran == null) {
      return "Ran for an unknown time";
    }
    // Where the daemon itself was held up, the lease had run out long before it said rest.
    return ran > run.countedMillis()
        ? "Told to rest after " + Words.spell(ran) + ", when its lease had run out"
        : "Ran " + Words.spell(ran);
  }

  private static String milligrams(RunStory run) {
    BigDecimal milligrams = run.milligrams();
    return (milligrams == null || !run.isReal() ? "" : ", " + milligrams.toPlainString() + " mg")
        + ". ";
  }

  private static String ended(RunStory run) {
    return run.causes().isEmpty() ? "" : " Ended: " + Words.causes(run.causes()) + ".";
  }

  // Trips.

  private void group(TankNight tank, Group group) {
    trip(tank, group.first(), "");
    group.consequences().forEach(trip -> trip(tank, trip, "  then "));
  }

  private void trip(TankNight tank, Trip trip, String indent) {
    boolean alone = trip.isConsequence() && indent.isEmpty();
    page.item(
        indent + times.at(trip.at()),
        trip.name()
            + (alone ? " (a consequence of " + trip.firstOut() + "): " : ": ")
            + Words.plainly(trip.why())
            + ". "
            + stops(tank, trip)
            + "; "
            + over(trip)
            + latched(tank, trip)
            + ".");
  }

  private String stops(TankNight tank, Trip trip) {
    RunStory run = tank.endedBy(trip);
    Mark began = run == null ? null : run.began();
    return (trip.stops().isEmpty() ? "It stops nothing" : "It stops " + Words.list(trip.stops()))
        + (began == null ? "" : ", and ended the run of " + times.at(began));
  }

  private String over(Trip trip) {
    Mark cleared = trip.cleared();
    Mark lost = trip.lost();
    if (cleared != null) {
      return "its cause was over at " + times.at(cleared) + after(trip.at(), cleared);
    }
    return lost != null
        ? "when its cause was over is not known, as the daemon started anew at " + times.at(lost)
        : "that its cause is over is not recorded";
  }

  private static String after(Mark from, Mark to) {
    return from.at() == null || to.at() == null
        ? ""
        : ", after " + Words.spell(Duration.between(from.at(), to.at()).toMillis());
  }

  private String latched(TankNight tank, Trip trip) {
    Mark latched = trip.latched();
    if (latched == null) {
      return "";
    }
    String reset =
        tank.acts().stream()
            .filter(act -> act.isReset() && act.name().equals(trip.name()))
            .filter(act -> act.at().index() > latched.index())
            .findFirst()
            .map(act -> ", and reset by " + act.by() + " at " + times.at(act.at()))
            .orElse("");
    return (latched.equals(trip.at()) ? "; latched at once" : "; latched at " + times.at(latched))
        + reset;
  }

  // The rest.

  /** A refusal that comes with the end of a run has the same causes, and is told there. */
  private static List<Happening> heldBack(TankNight tank) {
    return tank.of(Sort.REFUSED).stream()
        .filter(refusal -> tank.runs().stream().noneMatch(run -> endsAt(run, refusal.at())))
        .toList();
  }

  private static boolean endsAt(RunStory run, Mark mark) {
    Mark ended = run.ended();
    return ended != null && ended.at() != null && ended.at().equals(mark.at());
  }

  private void told(Repeated repeated) {
    Happening happening = repeated.first();
    Mark until = repeated.last().until();
    boolean named = !happening.name().isEmpty() && happening.sort() == Sort.NOTICE;
    String label = times.at(happening.at());
    page.item(
        repeated.times() == 1 ? label : label + " to " + times.at(repeated.last().at()),
        (named ? happening.name() + ": " : "")
            + Words.plainly(happening.what())
            + (repeated.last().latched() ? "; latched" : "")
            + (until == null ? "" : "; over at " + times.at(until))
            + (repeated.times() == 1 ? "" : "; told " + repeated.times() + " times"));
  }

  private record Gap(String label, String what) {}

  /** Gaps of several signals at the same time are one. */
  private List<Gap> gaps(TankNight tank) {
    Map<Gap, List<String>> gaps = new LinkedHashMap<>();
    for (Happening gap : tank.of(Sort.GAP)) {
      Gap alike = new Gap(times.fromTo(gap.at(), gap.until()), gap.what());
      gaps.computeIfAbsent(alike, g -> new ArrayList<>()).add(gap.name());
    }
    List<Gap> told = new ArrayList<>();
    gaps.forEach(
        (gap, names) -> told.add(new Gap(gap.label(), Words.list(names) + ": " + gap.what())));
    return told;
  }

  private void act(Act act) {
    page.item(
        times.at(act.at()),
        act.isReset()
            ? act.by() + " reset " + act.name() + (act.text().isEmpty() ? "" : ": " + act.text())
            : act.what().isEmpty() ? act.by() + " noted: " + act.text() : act.what());
  }

  private void held(Held held) {
    Mark since = held.since();
    Instant until = held.until();
    Mark over = held.over();
    page.item(
        held.name(),
        (held.by().isEmpty() ? "held" : "by " + held.by())
            + " since "
            + (since == null ? "before the first record read" : times.at(since))
            + (until == null ? "" : " until " + times.edge(until))
            + (held.why().isEmpty() ? "" : ": " + held.why())
            + (over == null
                ? ""
                : held.released().isEmpty()
                    ? "; over at " + times.at(over)
                    : "; ended by " + held.released() + " at " + times.at(over)));
  }
}
