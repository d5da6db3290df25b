package io.github.tidewarden.review;

import java.time.DateTimeException;
import java.time.Instant;
import java.time.LocalDate;
import java.time.format.DateTimeParseException;
import java.util.ArrayList;
import java.util.Collection;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/** The windows of one tank, as their records come in. */
final class Windows {
  /** How the record of a window begins in which nothing was given. */
  static final String NOTHING_GIVEN = "nothing was given: ";

  /** How a window came out. */
  enum Outcome {
    /** It has no end in the records. */
    OPEN,
    /** It closed. */
    CLOSED,
    /** It passed without ozone because something forbade it. */
    MISSED,
    /** It passed while nobody watched over it. */
    NOT_ATTENDED;

    String word() {
      return name().toLowerCase(Locale.ROOT).replace('_', '-');
    }
  }

  /**
   * One window.
   *
   * @param id its night and its place in the configuration
   * @param night the night in which it opens
   * @param first its first record
   * @param from when it opens by the clock; null when not recorded
   * @param to when it closes by the clock; null when not recorded
   * @param opened when it was opened; null when not recorded
   * @param closed when it was closed; null when not recorded
   * @param restarted the last start of the daemon while it was open; null for none
   * @param outcome how it came out
   * @param why how it ended, in the keeper's words; empty when not recorded
   * @param redox over the window, or over what is recorded of it
   */
  record Window(
      String id,
      LocalDate night,
      Mark first,
      @Nullable Instant from,
      @Nullable Instant to,
      @Nullable Mark opened,
      @Nullable Mark closed,
      @Nullable Mark restarted,
      Outcome outcome,
      String why,
      Redox redox) {

    /** Why nobody watched over it. */
    String nobody() {
      return why.startsWith(NOTHING_GIVEN)
          ? why.substring(NOTHING_GIVEN.length())
          : "nobody watched";
    }

    /** Whether its redox is known from its beginning to its end. */
    boolean isWhole() {
      return closed != null && restarted == null;
    }

    Window told(String newWhy, Redox newRedox) {
      return new Window(
          id, night, first, from, to, opened, closed, restarted, outcome, newWhy, newRedox);
    }

    /** Whether it was open at some time between two marks; no end is for ever. */
    boolean meets(Mark begin, @Nullable Mark end) {
      Mark open = opened;
      return open != null
          && (end == null || end.index() >= open.index())
          && (closed == null || begin.index() < closed.index());
    }
  }

  private final Map<String, Window> byId = new LinkedHashMap<>();

  /** The night in a window's id; that of the record when there is none. */
  static LocalDate night(String id, Mark mark) {
    int end = id.indexOf('#');
    try {
      return LocalDate.parse(end < 0 ? id : id.substring(0, end));
    } catch (DateTimeException e) {
      return mark.night();
    }
  }

  List<Window> all() {
    return new ArrayList<>(byId.values());
  }

  void opened(Entry entry) {
    String id = entry.text("window");
    byId.put(
        id,
        new Window(
            id,
            night(id, entry.mark()),
            entry.mark(),
            instant(entry.text("from")),
            instant(entry.text("to")),
            entry.mark(),
            null,
            null,
            Outcome.OPEN,
            "",
            Redox.UNKNOWN));
  }

  /** A window closed or was missed; one without figures passed while nobody watched over it. */
  void ended(Entry entry, boolean missed) {
    String id = entry.text("window");
    Window open = byId.get(id);
    boolean attended = open != null || entry.count("runs") != null;
    Instant from = instant(entry.text("from"));
    Instant to = instant(entry.text("to"));
    Outcome outcome = !attended ? Outcome.NOT_ATTENDED : missed ? Outcome.MISSED : Outcome.CLOSED;
    byId.put(
        id,
        new Window(
            id,
            night(id, entry.mark()),
            open == null ? entry.mark() : open.first(),
            open == null ? from : open.from(),
            open == null ? to : open.to(),
            open == null ? null : open.opened(),
            entry.mark(),
            open == null ? null : open.restarted(),
            outcome,
            entry.why(),
            entry.redox("redox")));
  }

  void started(Entry start) {
    byId.replaceAll((id, window) -> window.closed() != null ? window : restarted(window, start));
  }

  /**
   * What the records of windows do not say and others do: why nobody watched, and the redox of the
   * runs where a window has no end, or the daemon started anew in it.
   */
  void complete(Unwatched unwatched, Collection<RunStory> runs) {
    byId.replaceAll((id, window) -> window.told(why(window, unwatched), redox(window, runs)));
  }

  private static String why(Window window, Unwatched unwatched) {
    Instant from = window.from();
    Instant to = window.to();
    if (window.outcome() != Outcome.NOT_ATTENDED || from == null || to == null) {
      return window.why();
    }
    String why = unwatched.why(from, to);
    return why.isEmpty() ? window.why() : NOTHING_GIVEN + why;
  }

  private static Redox redox(Window window, Collection<RunStory> runs) {
    if (window.isWhole()) {
      return window.redox();
    }
    Mark restarted = window.restarted();
    // What came after the last start is told by the window itself.
    int told =
        window.redox().isUnknown() || restarted == null ? Integer.MAX_VALUE : restarted.index();
    List<Redox> stretches = new ArrayList<>();
    runs.stream()
        .filter(run -> run.isReal() && run.window().equals(window.id()))
        .filter(run -> run.first().index() < told)
        .forEach(run -> stretches.add(run.redox()));
    stretches.add(window.redox());
    return Redox.over(stretches);
  }

  private static Window restarted(Window window, Entry start) {
    return new Window(
        window.id(),
        window.night(),
        window.first(),
        window.from(),
        window.to(),
        window.opened(),
        null,
        start.mark(),
        window.outcome(),
        window.why(),
        window.redox());
  }

  private static @Nullable Instant instant(String text) {
    try {
      return text.isEmpty() ? null : Instant.parse(text);
    } catch (DateTimeParseException e) {
      return null;
    }
  }
}
