package io.github.tidewarden.audit;

import java.math.BigDecimal;
import java.util.HexFormat;
import java.util.List;
import java.util.Map;

/**
 * Writes values in the one form that the audit has for each, so that the same record gives the same
 * bytes whatever library reads them. Not a general JSON writer: no floating point, no null.
 */
final class JsonText {

  private final StringBuilder text = new StringBuilder(512);
  private final int mostChars;
  private final int mostDepth;
  private final int mostDigits;

  JsonText(int mostChars, int mostDepth, int mostDigits) {
    this.mostChars = mostChars;
    this.mostDepth = mostDepth;
    this.mostDigits = mostDigits;
  }

  /** Adds {@code "name":value}, after a comma unless it is the first of its object. */
  void field(String name, Object value, int depth) {
    char last = text.charAt(text.length() - 1);
    if (last != '{') {
      text.append(',');
    }
    mustHaveUtf8Form(name);
    string(name);
    text.append(':');
    value(value, depth);
  }

  void open() {
    text.append('{');
  }

  @Override
  public String toString() {
    return text.toString();
  }

  private static void mustHaveUtf8Form(String name) {
    int c;
    for (int i = 0; i < name.length(); i += Character.charCount(c)) {
      c = name.codePointAt(i);
      if (Character.getType(c) == Character.SURROGATE) {
        throw new RecordRefusedException("a name with half a surrogate pair");
      }
    }
  }

  private void value(Object value, int depth) {
    if (value instanceof String s) {
      string(s);
    } else if (value instanceof Boolean || value instanceof Long) {
      text.append(value);
    } else if (value instanceof BigDecimal number) {
      number(number);
    } else if (value instanceof List<?> list) {
      list(list, deeper(depth));
    } else if (value instanceof Map<?, ?> map) {
      map(map, deeper(depth));
    } else {
      throw new RecordRefusedException(
          "a value of type " + (value == null ? "null" : value.getClass().getName()));
    }
    if (text.length() > mostChars) {
      throw new RecordRefusedException("longer than " + mostChars + " characters");
    }
  }

  private int deeper(int depth) {
    if (depth >= mostDepth) {
      throw new RecordRefusedException("nested deeper than " + mostDepth);
    }
    return depth + 1;
  }

  private void number(BigDecimal number) {
    long before = (long) number.precision() - number.scale();
    if (before > mostDigits || number.scale() > mostDigits) {
      throw new RecordRefusedException("a number of more than " + mostDigits + " digits");
    }
    text.append(number.toPlainString());
  }

  private void list(List<?> list, int depth) {
    text.append('[');
    String separator = "";
    for (Object element : list) {
      text.append(separator);
      value(element, depth);
      separator = ",";
    }
    text.append(']');
  }

  private void map(Map<?, ?> map, int depth) {
    open();
    for (Map.Entry<?, ?> entry : map.entrySet()) {
      if (!(entry.getKey() instanceof String name)) {
        throw new RecordRefusedException("a name that is not a String");
      }
      field(name, entry.getValue(), depth);
    }
    text.append('}');
  }

  private void string(String s) {
    if (s.length() > mostChars) {
      throw new RecordRefusedException("longer than " + mostChars + " characters");
    }
    text.append('"');
    for (int i = 0; i < s.length(); i++) {
      char c = s.charAt(i);
      if (c == '"' || c == '\\') {
        text.append('\\').append(c);
      } else if (Character.isISOControl(c)) {
        escape(c);
      } else if (!Character.isSurrogate(c)) {
        text.append(c);
      } else if (i + 1 < s.length() && Character.isSurrogatePair(c, s.charAt(i + 1))) {
        text.append(c).append(s.charAt(++i));
      } else {
        text.append('\uFFFD'); // half a pair has no UTF-8 form, and jq refuses its escape
      }
    }
    text.append('"');
  }

  private void escape(char c) {
    text.append("\\u").append(HexFormat.of().toHexDigits(c));
  }
}
