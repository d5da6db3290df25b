package io.github.tidewarden.config;

import java.util.Collection;
import java.util.Comparator;
import java.util.Optional;

/** Finds the word that was probably meant. */
final class Nearest {
  private static final int MOST_CHANGES = 3;

  private Nearest() {}

  /** The known word that differs least, if it differs in few enough letters to be a slip. */
  static Optional<String> to(String word, Collection<String> known) {
    int most = Math.min(MOST_CHANGES, Math.max(1, word.length() / 2));
    return known.stream()
        .filter(candidate -> Math.abs(candidate.length() - word.length()) <= most)
        .filter(candidate -> changes(word, candidate) <= most)
        .min(Comparator.comparingInt(candidate -> changes(word, candidate)));
  }

  /** "write `ceiling`", or what is known where nothing is near. */
  static String remedy(String word, Collection<String> known) {
    if (known.isEmpty()) {
      return "declare it first; nothing of the kind is declared";
    }
    return to(word, known)
        .map(near -> "write `" + near + "`")
        .orElseGet(() -> "known here: " + String.join(", ", known));
  }

  /** Letters to add, drop or replace to get from one word to the other (Levenshtein's distance). */
  private static int changes(String from, String to) {
    int[] above = new int[to.length() + 1];
    for (int column = 0; column <= to.length(); column++) {
      above[column] = column;
    }
    for (int row = 1; row <= from.length(); row++) {
      int[] current = new int[to.length() + 1];
      current[0] = row;
      for (int column = 1; column <= to.length(); column++) {
        int replaced = above[column - 1] + (from.charAt(row - 1) == to.charAt(column - 1) ? 0 : 1);
        current[column] = Math.min(replaced, 1 + Math.min(above[column], current[column - 1]));
      }
      above = current;
    }
    return above[to.length()];
  }
}
