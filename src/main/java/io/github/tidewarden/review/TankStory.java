package io.github.tidewarden.review;

import io.github.tidewarden.control.Kind;
import io.github.tidewarden.interlock.PickUp;
import io.github.tidewarden.review.Happening.Sort;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.TreeMap;

/** Everything that the records say of one tank, in their order. */
final class TankStory {

  private static final String NAME = "name";
  private static final String SILENT = "-silent";

  final Windows windows = new Windows();
  final Trips trips = new Trips();
  final WaterStory water = new WaterStory();
  final Holds holds = new Holds();
  final Map<Long, RunStory> runs = new TreeMap<>();
  final List<Happening> happenings = new ArrayList<>();
  final List<Act> acts = new ArrayList<>();
  final List<Entry> latchings = new ArrayList<>();
  Unwatched unwatched = Unwatched.NEVER;
  private final Map<String, Integer> openGaps = new TreeMap<>();

  static TankStory of(String tank, List<Entry> entries) {
    TankStory story = new TankStory();
    for (Entry entry : entries) {
      if (entry.tank().isEmpty()) {
        story.hearsSite(entry);
      } else if (entry.tank().equals(tank)) {
        story.hears(entry);
      }
    }
    story.unwatched = Unwatched.of(tank, entries);
    story.windows.complete(story.unwatched, story.runs.values());
    return story;
  }

  private void hearsSite(Entry entry) {
    if (entry.kind() == Kind.START) {
      runs.values().forEach(run -> run.started(entry));
      windows.started(entry);
      trips.started(entry);
    } else if (entry.kind() == Kind.RECOVERED && entry.flag("latched")) {
      latchings.add(entry);
      water.hears(entry);
    }
  }

  private void hears(Entry entry) {
    water.hears(entry);
    holds.hears(entry);
    switch (entry.kind()) {
      case WINDOW_OPENED -> windows.opened(entry);
      case WINDOW_CLOSED -> windows.ended(entry, false);
      case MISSED -> windows.ended(entry, true);
      case RESERVED, RUN, REST, SETTLED -> hearsOfRun(entry);
      case TRIP -> {
        trips.tripped(entry);
        noteLatch(entry);
      }
      case LATCHED -> {
        if (!trips.latched(entry)) {
          happenings.add(Happening.of(latchedSort(entry.text(NAME)), entry, entry.text(NAME)));
        }
        noteLatch(entry);
      }
      case CLEARED -> {
        if (!trips.cleared(entry)) {
          noticeOver(entry);
        }
      }
      case SILENT -> {
        happenings.add(Happening.of(Sort.SILENT, entry, entry.text(NAME)));
        noteLatch(entry);
      }
      case QUALITY -> hearsOfQuality(entry);
      case REFUSED -> happenings.add(refused(entry));
      case NOTICE -> happenings.add(Happening.of(Sort.NOTICE, entry, entry.text(NAME)));
      case DEVICE -> happenings.add(Happening.of(Sort.DEVICE, entry, entry.text(NAME)));
      case FAULT -> {
        happenings.add(Happening.of(Sort.FAULT, entry, ""));
        latchings.add(entry);
      }
      case ACT -> acts.add(Act.of(entry));
      default -> {
        // Nothing of a tank's own.
      }
    }
  }

  /** What latched without a trip: a lost signal, pick-up, or a device. */
  private static Sort latchedSort(String name) {
    if (name.endsWith(SILENT)) {
      return Sort.SILENT;
    }
    return name.equals(PickUp.NAME) ? Sort.NOTICE : Sort.DEVICE;
  }

  private void noteLatch(Entry entry) {
    if (entry.flag("latched")) {
      latchings.add(entry);
    }
  }

  private void hearsOfRun(Entry entry) {
    Long number = entry.count("run");
    if (number == null) {
      return;
    }
    RunStory run = runs.computeIfAbsent(number, n -> new RunStory(n, entry));
    switch (entry.kind()) {
      case RESERVED -> run.reserved(entry);
      case RUN -> run.began(entry);
      case REST -> run.ended(entry);
      default -> run.settled(entry);
    }
  }

  private static Happening refused(Entry entry) {
    List<String> causes = entry.texts("causes");
    String what = causes.isEmpty() ? entry.why() : Words.causes(causes);
    return new Happening(Sort.REFUSED, "", entry.mark(), null, what, false);
  }

  private void noticeOver(Entry entry) {
    for (int i = happenings.size() - 1; i >= 0; i--) {
      Happening notice = happenings.get(i);
      if (notice.sort() == Sort.NOTICE && notice.name().equals(entry.text(NAME))) {
        if (notice.until() == null) {
          happenings.set(i, notice.until(entry.mark()));
        }
        return;
      }
    }
  }

  /** What was lost with a gap, or in it, was back when the gap was over. */
  private void lossesOver(Happening gap, Mark over) {
    String name = gap.name() + SILENT;
    happenings.replaceAll(
        one ->
            one.sort() == Sort.SILENT
                    && one.name().equals(name)
                    && one.until() == null
                    && (one.at().index() > gap.at().index()
                        || Objects.equals(one.at().at(), gap.at().at()))
                ? one.until(over)
                : one);
  }

  private void hearsOfQuality(Entry entry) {
    String signal = entry.text("signal");
    Integer open = openGaps.get(signal);
    if (entry.text("quality").equals("good")) {
      if (open != null) {
        Happening gap = happenings.get(open).until(entry.mark());
        happenings.set(open, gap);
        openGaps.remove(signal);
        lossesOver(gap, entry.mark());
      }
    } else if (open == null) {
      openGaps.put(signal, happenings.size());
      String start = signal + " is ";
      String what =
          entry.why().startsWith(start) ? entry.why().substring(start.length()) : entry.why();
      happenings.add(new Happening(Sort.GAP, signal, entry.mark(), null, what, false));
    }
  }
}
