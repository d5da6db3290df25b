package io.github.tidewarden.cli;

import io.github.tidewarden.audit.PlainText;
import java.time.DateTimeException;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.time.format.DateTimeParseException;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;
import picocli.CommandLine.TypeConversionException;

/** What may stand on the command line, and how its values are read. */
final class Arguments {
  /** What Java puts where it could not make out a letter. */
  private static final char LOST = '\uFFFD';

  private static final Pattern NUMBER_AND_UNIT =
      Pattern.compile("(-?[0-9]+(?:\\.[0-9]+)?)\\s*([^\\s0-9.]*)");

  /** No daemon has recorded, or will record, a night before or after these. */
  private static final LocalDate FIRST_NIGHT = LocalDate.of(2000, 1, 1);

  private static final LocalDate LAST_NIGHT = LocalDate.of(2099, 12, 31);

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

  /**
   * An amount as the daemon reads it: number, space, unit. The space may be left out on the command
   * line; the daemon says what is wrong with the rest.
   *
   * @param words as they stand on the command line, one or two
   * @param unit taken where there is none; empty for none
   */
  static String amount(List<String> words, String unit) {
    Matcher parts = NUMBER_AND_UNIT.matcher(String.join(" ", words).strip());
    if (!parts.matches()) {
      return String.join(" ", words);
    }
    String given = parts.group(2).isEmpty() ? unit : parts.group(2);
    return (parts.group(1) + " " + given).strip();
  }

  /** A night, by the date of its evening. */
  static LocalDate date(String text) {
    try {
      LocalDate night = LocalDate.parse(text);
      if (night.isBefore(FIRST_NIGHT) || night.isAfter(LAST_NIGHT)) {
        throw new TypeConversionException(
            "\"" + text + "\" is not between " + FIRST_NIGHT + " and " + LAST_NIGHT);
      }
      return night;
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
