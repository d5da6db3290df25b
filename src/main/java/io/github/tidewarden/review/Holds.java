package io.github.tidewarden.review;

import io.github.tidewarden.control.Hold;
import io.github.tidewarden.control.TankMemory;
import java.time.DateTimeException;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import org.jspecify.annotations.Nullable;

/** What keepers held at rest in one tank, as the records of it come in. */
final class Holds {

  /**
   * One hold.
   *
   * @param name what is held: the tank, or one function of it
   * @param since when it began; null when that is before the records read
   * @param by who held it; empty when no record read tells
   * @param until when it ends by itself; null when no record read tells
   * @param why in the keeper's words; may be empty
   * @param over when it was over; null when it stands
   * @param released who ended it; empty when it ended by itself
   */
  record Held(
      String name,
      @Nullable Mark since,
      String by,
      @Nullable Instant until,
      String why,
      @Nullable Mark over,
      String released) {

    private Held over(Mark at, String keeper) {
      return new Held(name, since, by, until, why, at, keeper);
    }

    private boolean isOpen(String ofName) {
      return over == null && name.equals(ofName);
    }

    boolean touches(Span span) {
      Mark from = since;
      Mark to = over;
      return from != null
          ? from.lastsInto(span, to)
          : to == null || to.isIn(span) || !to.isBeforeEndOf(span);
    }

    /** Whether it ends in a span. */
    boolean endsIn(Span span) {
      Mark to = over;
      return to != null && to.isIn(span);
    }
  }

  private final List<Held> all = new ArrayList<>();

  void hears(Entry entry) {
    switch (entry.kind()) {
      case HOLD_OVER -> over(entry, "");
      case ACT -> {
        if (entry.text("act").equals("hold")) {
          held(entry);
        } else if (entry.text("act").equals("release")) {
          over(entry, entry.text("by"));
        }
      }
      default -> {
        // No hold.
      }
    }
  }

  private void held(Entry entry) {
    all.add(
        new Held(
            entry.text("name"),
            entry.mark(),
            entry.text("by"),
            instant(entry.text("end")),
            entry.text("text"),
            null,
            ""));
  }

  /** Those of that name that end then; all of that name where an older record names no end. */
  private void over(Entry entry, String keeper) {
    String name = entry.text("name");
    Instant end = instant(entry.text("end"));
    boolean known = false;
    for (int i = 0; i < all.size(); i++) {
      Held one = all.get(i);
      if (one.isOpen(name) && (end == null || end.equals(one.until()))) {
        all.set(i, one.over(entry.mark(), keeper));
        known = true;
      }
    }
    if (!known) {
      all.add(new Held(name, null, "", end, "", entry.mark(), keeper));
    }
  }

  /** Those that touch a span, and those that the memory at its end still knows from before. */
  List<Held> in(Span span, @Nullable TankMemory memory) {
    List<Held> held = new ArrayList<>(all.stream().filter(one -> one.touches(span)).toList());
    if (memory != null) {
      for (Hold hold : memory.holds()) {
        if (held.stream()
            .noneMatch(one -> one.isOpen(hold.name()) && hold.end().equals(one.until()))) {
          held.add(0, new Held(hold.name(), null, hold.by(), hold.end(), hold.why(), null, ""));
        }
      }
    }
    return held;
  }

  private static @Nullable Instant instant(String text) {
    try {
      return text.isEmpty() ? null : Instant.parse(text);
    } catch (DateTimeException e) {
      return null;
    }
  }
}
