package io.github.tidewarden.audit;

/** A line that is not a record of this format; the message says why. */
public final class BadLineException extends Exception {

  BadLineException(String why) {
    super(why);
  }
}
