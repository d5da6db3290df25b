package io.github.tidewarden.review;

/**
 * Text of at most 80 columns: lines wrapped at spaces, and items with a label at their left. What a
 * record says is cleaned of control and direction characters.
 */
final class Page {

  /** Columns; a word or a command that is longer stands alone and is not cut. */
  static final int WIDTH = 80;

  private static final int LABEL_INDENT = 4;
  private static final int TEXT_INDENT = 26;

  private final StringBuilder text = new StringBuilder();

  void blank() {
    text.append('\n');
  }

  /** A paragraph, every line of it indented. */
  void line(int indent, String paragraph) {
    wrap(" ".repeat(indent), indent, paragraph);
  }

  /** A label, and beside it a paragraph. */
  void item(String label, String paragraph) {
    String clean = " ".repeat(LABEL_INDENT) + clean(label);
    if (clean.length() > TEXT_INDENT - 2) {
      text.append(clean).append('\n');
      clean = "";
    }
    wrap(clean + " ".repeat(TEXT_INDENT - clean.length()), TEXT_INDENT, paragraph);
  }

  /** One line as it is. */
  void verbatim(int indent, String line) {
    text.append(" ".repeat(indent)).append(clean(line)).append('\n');
  }

  private void wrap(String start, int indent, String paragraph) {
    StringBuilder line = new StringBuilder(start);
    boolean empty = true;
    for (String word : clean(paragraph).trim().split(" +", -1)) {
      if (!empty && line.length() + 1 + word.length() > WIDTH) {
        text.append(line.toString().stripTrailing()).append('\n');
        line = new StringBuilder(" ".repeat(indent));
        empty = true;
      }
      line.append(empty ? "" : " ").append(word);
      empty = false;
    }
    text.append(line.toString().stripTrailing()).append('\n');
  }

  private static String clean(String dirty) {
    StringBuilder clean = new StringBuilder();
    dirty.codePoints().forEach(c -> clean.appendCodePoint(isTricky(c) ? 0xFFFD : c));
    return clean.toString();
  }

  private static boolean isTricky(int c) {
    int type = Character.getType(c);
    return Character.isISOControl(c)
        || type == Character.FORMAT
        || type == Character.SURROGATE
        || type == Character.LINE_SEPARATOR
        || type == Character.PARAGRAPH_SEPARATOR;
  }

  @Override
  public String toString() {
    return text.toString();
  }
}
