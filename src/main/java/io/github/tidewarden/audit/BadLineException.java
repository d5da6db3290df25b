package io.github.tidewarden.audit;

/** A line that is not a record of this format; the message says why. */
public final class BadLineException extends Exception {

  private static final int MOST_CHARS = 300;

  BadLineException(String why) {
    super(PlainText.of(why, MOST_CHARS));
  }
}
