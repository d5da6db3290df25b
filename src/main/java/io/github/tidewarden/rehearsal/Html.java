package io.github.tidewarden.rehearsal;

import java.util.Locale;

/** A page as it is written, line by line. */
final class Html {
  private final StringBuilder text = new StringBuilder();

  /** Adds a line; numbers are written the same in every language. */
  void line(String format, Object... values) {
    text.append(String.format(Locale.ROOT, format, values)).append('\n');
  }

  /** What somebody else named, as text and within quotes. */
  static String escaped(String any) {
    return any.replace("&", "&amp;").replace("<", "&lt;").replace("\"", "&quot;");
  }

  @Override
  public String toString() {
    return text.toString();
  }
}
