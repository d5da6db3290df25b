package io.github.tidewarden.review;

import io.github.tidewarden.control.Kind;
import io.github.tidewarden.review.Happening.Sort;
import io.github.tidewarden.review.Past.Remark;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import org.jspecify.annotations.Nullable;

/** Everything that the records say of the site itself, in their order. */
final class SiteStory {

  /** A broker that is reached sooner after a start is not worth a word. */
  private static final long LONG_WAIT_MILLIS = 60_000;

  private final List<Happening> happenings = new ArrayList<>();
  private @Nullable Entry previous;
  private @Nullable String boot;
  private int openStop = -1;
  private int openLoss = -1;
  private @Nullable Entry unreached;

  private SiteStory() {}

  static List<Happening> of(List<Entry> entries, List<Remark> remarks) {
    SiteStory story = new SiteStory();
    for (Entry entry : entries) {
      if (entry.tank().isEmpty()) {
        story.hears(entry);
      }
      if (entry.kind() != Kind.CHECKPOINT && entry.kind() != Kind.RECOVERED) {
        story.previous = entry;
      }
    }
    if (story.previous != null) {
      story.reached(story.previous, null);
    }
    for (Remark remark : remarks) {
      story.remarks(remark, entries);
    }
    story.happenings.sort(Comparator.comparingInt(happening -> happening.at().index()));
    return story.happenings;
  }

  private void hears(Entry entry) {
    switch (entry.kind()) {
      case START -> started(entry);
      case STOP -> {
        reached(entry, entry.mark());
        openStop = happenings.size();
        add(Sort.STOP, entry, "the daemon was stopped: " + entry.why());
      }
      case LINK -> link(entry);
      case CLOCK -> add(Sort.CLOCK, entry, entry.why());
      case RECOVERED ->
          add(entry.flag("latched") ? Sort.AUDIT_GAP : Sort.AUDIT, entry, entry.why());
      case NOTICE ->
          add(entry.count("lost") == null ? Sort.NOTICE : Sort.AUDIT_GAP, entry, entry.why());
      case ACT_REFUSED -> {
        String by = entry.text("by");
        add(
            Sort.ACT_REFUSED,
            entry,
            "a request" + (by.isEmpty() ? "" : " by " + by) + " was refused: " + entry.why());
      }
      default -> {
        // Nothing of the site's own.
      }
    }
  }

  private void add(Sort sort, Entry entry, String what) {
    happenings.add(new Happening(sort, "", entry.mark(), null, what, entry.flag("latched")));
  }

  private void started(Entry start) {
    Entry last = previous;
    if (openStop >= 0) {
      happenings.set(openStop, happenings.get(openStop).until(start.mark()));
      openStop = -1;
    } else if (last != null) {
      boolean machine = boot != null && !boot.equals(start.text("boot"));
      String what =
          "the daemon died some time after its last record, and was started again"
              + (machine ? "; so was the machine" : "");
      happenings.add(new Happening(Sort.CRASH, "", last.mark(), start.mark(), what, false));
    }
    reached(start, start.mark());
    boot = start.text("boot");
    add(Sort.START, start, start.why());
    unreached = openLoss < 0 ? start : null;
  }

  /**
   * Tells of a broker that took long to be reached after a start.
   *
   * @param by the record by which the wait was over, or the last one read
   * @param until when it was over; null when it was not
   */
  private void reached(Entry by, @Nullable Mark until) {
    Entry start = unreached;
    unreached = null;
    if (start == null) {
      return;
    }
    long waitedMillis = by.record().monoMillis() - start.record().monoMillis();
    if (waitedMillis < 0 || waitedMillis >= LONG_WAIT_MILLIS) {
      happenings.add(
          new Happening(Sort.BROKER, "", start.mark(), until, "the broker was not reached", false));
    }
  }

  private void link(Entry entry) {
    reached(entry, entry.mark());
    if (entry.flag("up")) {
      if (openLoss >= 0) {
        happenings.set(openLoss, happenings.get(openLoss).until(entry.mark()));
        openLoss = -1;
      }
    } else if (openLoss < 0) {
      openLoss = happenings.size();
      add(Sort.BROKER, entry, entry.why());
    }
  }

  private void remarks(Remark remark, List<Entry> entries) {
    if (entries.isEmpty()) {
      return;
    }
    Mark at = entries.get(Math.min(remark.before(), entries.size() - 1)).mark();
    happenings.add(
        new Happening(
            remark.gap() ? Sort.AUDIT_GAP : Sort.AUDIT, "", at, null, remark.what(), false));
  }
}
