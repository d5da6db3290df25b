package io.github.tidewarden.review;

import java.util.ArrayList;
import java.util.List;
import java.util.regex.Pattern;

/** A command line as a keeper can paste it into a shell. */
final class Command {
  private static final Pattern PLAIN = Pattern.compile("[A-Za-z0-9_./:=@%+,-]+");
  private static final int WIDTH = Page.WIDTH - 6 - 2;

  private Command() {}

  /** What resets a latch; the keeper puts in a name. Broken between its words, never in one. */
  static List<String> reset(String configFile, String tank, String interlock) {
    List<String> words =
        List.of(
            "java -jar tidewarden.jar reset",
            "--config " + quoted(configFile),
            "--tank " + quoted(tank),
            "--interlock " + quoted(interlock),
            "--by NAME");
    List<String> lines = new ArrayList<>();
    StringBuilder line = new StringBuilder(words.get(0));
    for (String word : words.subList(1, words.size())) {
      if (line.length() + 1 + word.length() > WIDTH) {
        lines.add(line + " \\");
        line = new StringBuilder("  " + word);
      } else {
        line.append(' ').append(word);
      }
    }
    lines.add(line.toString());
    return lines;
  }

  private static String quoted(String word) {
    return PLAIN.matcher(word).matches() ? word : "'" + word.replace("'", "'\\''") + "'";
  }
}
