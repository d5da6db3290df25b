package io.github.tidewarden.review;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/** Small pieces of sentences. */
final class Words {
  private static final Pattern NAMED_TWICE = Pattern.compile("\\b(\\S+): \\1 is ");
  private static final Pattern FAULT_OF_ONE = Pattern.compile("(\\S+) is (.*)");

  private Words() {}

  /** "a", "a and b", "a, b and c". */
  static String list(List<String> parts) {
    int last = parts.size() - 1;
    return last < 1
        ? String.join("", parts)
        : String.join(", ", parts.subList(0, last)) + " and " + parts.get(last);
  }

  /** Nothing for once, else " twice" or " 3 times". */
  static String times(int count) {
    return switch (count) {
      case 1 -> "";
      case 2 -> " twice";
      default -> " " + count + " times";
    };
  }

  /** "1 run", "2 runs". */
  static String count(long count, String what) {
    return count + " " + what + (count == 1 ? "" : "s");
  }

  /** A record's text without a name said twice: "redox-b: redox-b is mute" is "redox-b is mute". */
  static String plainly(String text) {
    return NAMED_TWICE.matcher(text).replaceAll("$1 is ");
  }

  /**
   * Causes as one text, the first one first; several signals with the same fault are told together.
   */
  static String causes(List<String> causes) {
    Map<String, List<String>> names = new LinkedHashMap<>();
    for (String cause : causes) {
      String plain = plainly(cause);
      Matcher signal = FAULT_OF_ONE.matcher(plain);
      List<String> told =
          names.computeIfAbsent(signal.matches() ? signal.group(2) : plain, c -> new ArrayList<>());
      if (signal.matches() && !told.contains(signal.group(1))) {
        told.add(signal.group(1));
      }
    }
    List<String> told = new ArrayList<>();
    names.forEach((cause, of) -> told.add(of.isEmpty() ? cause : list(of) + ": " + cause));
    return String.join("; ", told);
  }

  /** A span of time to the second, never told too short: "5 min 4 s", "45 s". */
  static String spellUp(long millis) {
    return seconds(Math.floorDiv(millis + 999, 1000));
  }

  /** A span of time to the nearest second. */
  static String spell(long millis) {
    return seconds(Math.floorDiv(millis + 500, 1000));
  }

  private static String seconds(long seconds) {
    if (seconds < 60) {
      return seconds + " s";
    }
    return seconds / 60 + " min" + (seconds % 60 == 0 ? "" : " " + seconds % 60 + " s");
  }
}
