package io.github.tidewarden.cli;

import io.github.tidewarden.audit.PlainText;
import java.time.DateTimeException;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.time.format.DateTimeParseException;
import org.jspecify.annotations.Nullable;
import picocli.CommandLine.TypeConversionException;

/** What may stand on the command line, and how its values are read. */
final class Arguments {
  /** What Java puts where it could not make out a letter. */
  private static final char LOST = '\uFFFD';

  private Arguments() {}

  /**
   * What is wrong with the letters of an argument: one that was lost on the way here, or one that
   * could play tricks on a log or a terminal.
   *
   * @return the complaint and the remedy; null if all are as they should be
   */
  static @Nullable String complaint(String... arguments) {
    for (String argument : arguments) {
      if (argument.indexOf(LOST) >= 0) {
        return "a letter was lost in \""
            + PlainText.of(argument)
            + "\"; set a locale that has it, such as LC_ALL=C.UTF-8, and write it in UTF-8";
      }
      if (!PlainText.of(argument).equals(argument)) {
        return "a control character in \""
            + PlainText.of(argument)
            + "\"; write one line of plain text";
      }
    }
    return null;
  }

  static LocalDate date(String text) {
    try {
      return LocalDate.parse(text);
    } catch (DateTimeParseException e) {
      throw new TypeConversionException("\"" + text + "\" is not a date; write it as 2026-11-30");
    }
  }

  static Instant time(String text) {
    try {
      return Instant.parse(text);
    } catch (DateTimeParseException e) {
      throw new TypeConversionException(
          "\"" + text + "\" is not a time in UTC; write it as 2026-11-30T22:15:00Z");
    }
  }

  static ZoneId zone(String text) {
    try {
      return ZoneId.of(text);
    } catch (DateTimeException e) {
      throw new TypeConversionException(
          "\"" + text + "\" is not a time zone; write a region such as Europe/Lisbon");
    }
  }
}
