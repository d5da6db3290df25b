package io.github.tidewarden.config;

/**
 * One thing that is wrong in a configuration or a drill.
 *
 * @param line the line, from 1
 * @param column the column, from 1
 * @param wrong what is wrong
 * @param right what would be right
 */
public record Complaint(int line, int column, String wrong, String right) {

  private static final int MAX_LENGTH = 400;

  /** Keeps both texts to one line of bounded length, whatever they quote from the file. */
  public Complaint {
    wrong = oneLine(wrong);
    right = oneLine(right);
  }

  private static String oneLine(String text) {
    String line = text.replaceAll("[\\p{Cntrl}\\u2028\\u2029]", " ");
    return line.length() <= MAX_LENGTH ? line : line.substring(0, MAX_LENGTH) + "...";
  }

  /** "LINE:COL: what is wrong; what would be right". */
  @Override
  public String toString() {
    return line + ":" + column + ": " + wrong + "; " + right;
  }
}
