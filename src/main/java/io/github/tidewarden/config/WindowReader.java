package io.github.tidewarden.config;

import io.github.tidewarden.schedule.WindowSpec;
import java.time.DayOfWeek;
import java.time.LocalTime;
import java.util.ArrayList;
import java.util.BitSet;
import java.util.EnumSet;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;

/** Reads windows and times of day. */
final class WindowReader {
  private static final Pattern CLOCK = Pattern.compile("([01][0-9]|2[0-3]):[0-5][0-9]");
  private static final int MAX_WINDOWS = 24;
  private static final int MINUTES_A_DAY = 24 * 60;
  private static final int MINUTES_A_WEEK = 7 * MINUTES_A_DAY;
  private static final List<String> DAYS =
      List.of(DayOfWeek.values()).stream().map(WindowReader::word).toList();

  /** A window and where it stands. */
  record Placed(WindowSpec window, Place place) {

    /** Nominal length, min. */
    int minutes() {
      return WindowReader.minutes(window);
    }
  }

  private WindowReader() {}

  static String word(DayOfWeek day) {
    return day.name().substring(0, 3).toLowerCase(Locale.ROOT);
  }

  /** A local time of day, or null after a complaint. */
  static @Nullable LocalTime time(Value value) {
    String text = value.text();
    if (text == null) {
      return null;
    }
    if (!CLOCK.matcher(text).matches()) {
      value.complain("\"" + text + "\" is not a time of day", "such as \"01:30\", 00:00 to 23:59");
      return null;
    }
    return LocalTime.parse(text);
  }

  /** The windows of a function; none after a complaint. */
  static List<WindowSpec> read(Section section) {
    return placed(section).stream().map(Placed::window).toList();
  }

  /** The same, each with its place. */
  static List<Placed> placed(Section section) {
    List<Value> items = section.list("windows", "[ { from: \"01:30\", to: \"03:00\" } ]");
    if (section.has("windows") && (items.isEmpty() || items.size() > MAX_WINDOWS)) {
      section
          .optional("windows")
          .filter(value -> value.isList())
          .ifPresent(
              value ->
                  value.complain(
                      "`windows` has " + items.size() + " windows", "1 to " + MAX_WINDOWS));
    }
    List<Placed> windows = new ArrayList<>();
    for (Value item : items) {
      Section window = item.section();
      WindowSpec spec = window == null ? null : window(window);
      if (spec != null) {
        windows.add(new Placed(spec, item.place()));
      }
    }
    complainAboutOverlaps(section, windows);
    return windows;
  }

  private static @Nullable WindowSpec window(Section section) {
    LocalTime from = section.required("from", "\"01:30\"").map(WindowReader::time).orElse(null);
    LocalTime to = section.required("to", "\"03:00\"").map(WindowReader::time).orElse(null);
    Set<DayOfWeek> days = days(section);
    if (from == null || to == null || days.isEmpty()) {
      return null;
    }
    if (from.equals(to)) {
      section.complain(
          section.place("to"), "a window that opens and closes at " + from, "two different times");
      return null;
    }
    return new WindowSpec(from, to, days);
  }

  private static Set<DayOfWeek> days(Section section) {
    Set<DayOfWeek> days = EnumSet.noneOf(DayOfWeek.class);
    if (!section.has("days")) {
      return EnumSet.allOf(DayOfWeek.class);
    }
    for (Value item : section.list("days", "[mon, wed, fri]")) {
      String word = item.oneOf(DAYS);
      if (word != null && !days.add(DayOfWeek.of(DAYS.indexOf(word) + 1))) {
        item.complain("`" + word + "` stands twice", "each day once");
      }
    }
    if (days.isEmpty()) {
      section.complain(
          section.place("days"), "`days` names no day", "leave `days` out for every day");
    }
    return days;
  }

  /** Two windows that are open at once would each take what is owed. */
  private static void complainAboutOverlaps(Section section, List<Placed> windows) {
    for (int later = 1; later < windows.size(); later++) {
      for (int earlier = 0; earlier < later; earlier++) {
        if (overlap(windows.get(earlier).window(), windows.get(later).window())) {
          section.complain(
              windows.get(later).place(),
              "this window overlaps the one at " + windows.get(earlier).place(),
              "windows that do not overlap");
        }
      }
    }
  }

  private static boolean overlap(WindowSpec one, WindowSpec other) {
    for (DayOfWeek oneDay : one.days()) {
      for (DayOfWeek otherDay : other.days()) {
        int ahead = Math.floorMod(opens(other, otherDay) - opens(one, oneDay), MINUTES_A_WEEK);
        int behind = Math.floorMod(-ahead, MINUTES_A_WEEK);
        if (ahead < minutes(one) || behind < minutes(other)) {
          return true;
        }
      }
    }
    return false;
  }

  /** Minutes of the week, counted from noon on Monday; a night runs from noon to noon. */
  private static int opens(WindowSpec window, DayOfWeek evening) {
    int sinceNoon = Math.floorMod(minuteOf(window.from()) - MINUTES_A_DAY / 2, MINUTES_A_DAY);
    return (evening.getValue() - 1) * MINUTES_A_DAY + sinceNoon;
  }

  /** For how long at least one of these windows is open in the night of this evening, min. */
  static int openMinutes(List<WindowSpec> windows, DayOfWeek evening) {
    BitSet open = new BitSet();
    for (WindowSpec window : windows) {
      if (window.days().contains(evening)) {
        int from = opens(window, evening);
        open.set(from, from + minutes(window));
      }
    }
    return open.cardinality();
  }

  /** Nominal length. */
  private static int minutes(WindowSpec window) {
    return Math.floorMod(minuteOf(window.to()) - minuteOf(window.from()), MINUTES_A_DAY);
  }

  private static int minuteOf(LocalTime time) {
    return time.getHour() * 60 + time.getMinute();
  }
}
