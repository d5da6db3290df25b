package io.github.tidewarden.review;

import io.github.tidewarden.control.Kind;
import io.github.tidewarden.control.TankMemory;
import io.github.tidewarden.review.Happening.Sort;
import io.github.tidewarden.review.Holds.Held;
import io.github.tidewarden.review.ReviewedSite.ReviewedTank;
import io.github.tidewarden.review.Trips.Group;
import io.github.tidewarden.review.Windows.Window;
import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * What is told of one tank in one span.
 *
 * @param name the tank
 * @param litres of water in it, L; null when not known
 * @param reference the electrode of its redox figures; null when not known
 * @param recorded whether any record of the span is of this tank
 * @param windows of the night
 * @param runs of the night, as far as they reach into the span
 * @param totals of the whole night
 * @param trips that touch the span
 * @param latches that stood at its end; null when that cannot be told
 * @param happenings that touch the span
 * @param acts in the span
 * @param water its exchange; null for a tank without one
 * @param probes the calibrations of its redox probes at the end of the span
 * @param care how the care of its installation stood at the end of the span
 * @param held what a keeper held at some time in the span
 * @param released whether a hold ended in the span
 */
record TankNight(
    String name,
    @Nullable Double litres,
    @Nullable String reference,
    boolean recorded,
    List<Window> windows,
    List<RunStory> runs,
    Totals totals,
    List<Group> trips,
    @Nullable List<Latch> latches,
    List<Happening> happenings,
    List<Act> acts,
    @Nullable WaterNight water,
    List<ProbeNight> probes,
    CareNight care,
    List<Held> held,
    boolean released) {

  /**
   * What the night came to.
   *
   * @param countedMillis running time that counts against the allowance, ms
   * @param earlierMillis how much of it is of runs before the records read, ms
   * @param allowanceMillis the night's allowance, ms; null when no record tells
   * @param milligrams ozone given in the time counted, by the rated output; null when not all of it
   *     has a figure
   * @param knownMilligrams of the runs that have a figure
   */
  record Totals(
      long countedMillis,
      long earlierMillis,
      @Nullable Long allowanceMillis,
      @Nullable BigDecimal milligrams,
      BigDecimal knownMilligrams) {}

  /**
   * Ozone given in the night, so in a day, for each litre of the tank; never told as less.
   *
   * @return mg/L; null when not known
   */
  @Nullable BigDecimal milligramsPerLitre() {
    BigDecimal milligrams = totals.milligrams();
    return milligrams == null || litres == null
        ? null
        : milligrams.divide(BigDecimal.valueOf(litres), 4, RoundingMode.CEILING);
  }

  /** Whether there is anything to tell that is not told of the night as a whole. */
  boolean isQuiet() {
    return windows.isEmpty()
        && runs.isEmpty()
        && trips.isEmpty()
        && happenings.isEmpty()
        && acts.isEmpty()
        && (water == null || water.quiet())
        && !released;
  }

  boolean hasRedox() {
    return windows.stream().anyMatch(window -> !window.redox().isUnknown())
        || runs.stream().anyMatch(run -> !run.redox().isUnknown());
  }

  List<Happening> of(Sort sort) {
    return happenings.stream().filter(happening -> happening.sort() == sort).toList();
  }

  /** Runs of a window that began. */
  long begun(Window window) {
    return runs.stream()
        .filter(run -> run.window().equals(window.id()) && run.began() != null)
        .count();
  }

  /** The run that a trip ended, as that run's first cause says; null for none. */
  @Nullable RunStory endedBy(Trips.Trip trip) {
    RunStory last = null;
    for (RunStory run : runs) {
      if (run.first().index() < trip.at().index()) {
        last = run;
      }
    }
    if (last == null || last.causes().isEmpty() || last.ended() == null) {
      return null;
    }
    return last.causes().get(0).startsWith(trip.name() + ": ") ? last : null;
  }

  static TankNight of(
      ReviewedTank tank, TankStory story, List<Entry> entries, Span span, Ledger ledger) {
    String name = tank.name();
    List<RunStory> night =
        story.runs.values().stream().filter(run -> run.night().equals(span.night())).toList();
    List<Held> held = story.holds.in(span, ledger.tank(name));
    return new TankNight(
        name,
        tank.litres(),
        tank.reference(),
        entries.stream().anyMatch(e -> e.tank().equals(name) && e.mark().isIn(span)),
        story.windows.all().stream()
            .filter(window -> window.night().equals(span.night()))
            .filter(window -> window.first().isBeforeEndOf(span) || window.opened() == null)
            .filter(window -> window.closed() == null || !isBefore(window.closed(), span))
            .toList(),
        night.stream().filter(run -> run.ended() == null || !isBefore(run.ended(), span)).toList(),
        totals(night, entries, span, ledger, name),
        story.trips.in(span),
        latches(name, story, entries, span, ledger),
        story.happenings.stream().filter(happening -> happening.touches(span)).toList(),
        story.acts.stream().filter(act -> act.at().isIn(span)).toList(),
        WaterNight.of(name, tank.exchange(), story, entries, span, ledger),
        ProbeNight.of(ledger.tank(name), span),
        CareNight.of(ledger.tank(name)),
        held,
        held.stream().anyMatch(one -> one.endsIn(span)));
  }

  private static boolean isBefore(Mark mark, Span span) {
    return !mark.isIn(span) && mark.isBeforeEndOf(span);
  }

  private static Totals totals(
      List<RunStory> runs, List<Entry> entries, Span span, Ledger ledger, String name) {
    long told = runs.stream().mapToLong(RunStory::countedMillis).sum();
    TankMemory memory = ledger.tank(name);
    long remembered = memory == null ? 0 : memory.spentInNightMillis(span.night());
    long earlier = Math.max(0, remembered - told);
    BigDecimal known = BigDecimal.ZERO.setScale(2);
    long knownMillis = 0;
    for (RunStory run : runs) {
      BigDecimal milligrams = run.milligrams();
      if (milligrams != null) {
        known = known.add(milligrams);
        knownMillis += run.countedMillis();
      }
    }
    long counted = told + earlier;
    return new Totals(
        counted,
        earlier,
        ledger.allowanceMillis(name),
        knownMillis == counted ? known : saidAtAnEnd(entries, span, counted, name),
        known);
  }

  /** What a window's end says of the same total, ozone that no run has a figure of included. */
  private static @Nullable BigDecimal saidAtAnEnd(
      List<Entry> entries, Span span, long countedMillis, String name) {
    BigDecimal said = null;
    for (Entry entry : entries) {
      boolean ofNight =
          entry.tank().equals(name)
              && (entry.kind() == Kind.WINDOW_CLOSED || entry.kind() == Kind.MISSED)
              && entry.text("window").startsWith(span.night() + "#");
      Long given = entry.count("given-ms");
      if (ofNight && given != null && given == countedMillis) {
        said = entry.figure("given-mg");
      }
    }
    return said;
  }

  private static @Nullable List<Latch> latches(
      String name, TankStory story, List<Entry> entries, Span span, Ledger ledger) {
    TankMemory memory = ledger.tank(name);
    if (memory == null) {
      return null;
    }
    int end = Ledger.end(entries, span);
    List<Latch> latches = new ArrayList<>();
    memory
        .latches()
        .forEach(
            (latch, why) ->
                latches.add(
                    new Latch(
                        latch,
                        since(latch, story, end),
                        why,
                        story.trips.stops(latch),
                        reset(latch, story, end))));
    return latches;
  }

  private static @Nullable Mark since(String latch, TankStory story, int end) {
    int reset =
        story.acts.stream()
            .filter(act -> act.isReset() && act.name().equals(latch) && act.at().index() < end)
            .mapToInt(act -> act.at().index())
            .max()
            .orElse(-1);
    return story.latchings.stream()
        .filter(entry -> name(entry).equals(latch))
        .map(Entry::mark)
        .filter(mark -> mark.index() > reset && mark.index() < end)
        .findFirst()
        .orElse(null);
  }

  private static @Nullable Act reset(String latch, TankStory story, int end) {
    return story.acts.stream()
        .filter(act -> act.isReset() && act.name().equals(latch) && act.at().index() >= end)
        .findFirst()
        .orElse(null);
  }

  private static String name(Entry latching) {
    return switch (latching.kind()) {
      case FAULT -> TankMemory.FAULT;
      case RECOVERED -> TankMemory.UNREADABLE;
      default -> latching.text("name");
    };
  }
}
