package io.github.tidewarden.audit;

/** Text from outside as a person may see it, however it came to be there. */
public final class PlainText {

  private PlainText() {}

  /** Without control and direction characters, which can play tricks on a terminal. */
  public static String of(String text) {
    StringBuilder plain = new StringBuilder(text.length());
    text.codePoints().forEach(c -> plain.appendCodePoint(isTricky(c) ? '\uFFFD' : c));
    return plain.toString();
  }

  /** The same, and at most {@code most} characters of it. */
  static String of(String text, int most) {
    return text.length() <= most ? of(text) : of(text.substring(0, most)) + "...";
  }

  private static boolean isTricky(int c) {
    return switch (Character.getType(c)) {
      case Character.CONTROL,
          Character.FORMAT,
          Character.SURROGATE,
          Character.LINE_SEPARATOR,
          Character.PARAGRAPH_SEPARATOR ->
          true;
      default -> false;
    };
  }
}
