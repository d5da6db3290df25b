package io.github.tidewarden.cli;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.Parameters;

/** {@code note}: a keeper's remark, kept with the night. */
@Command(
    name = "note",
    description = {
      "Records a remark, such as \"carbon changed\".",
      "`note cleaned NAME` records that a redox probe was cleaned, and holds ozone for 24 h."
    })
final class NoteVerb extends ActVerb {
  private static final String CLEANED = "cleaned";

  @Parameters(index = "0", paramLabel = "TEXT", description = "The remark, or: cleaned")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private String text;

  @Parameters(
      index = "1",
      arity = "0..1",
      paramLabel = "NAME",
      description = "After cleaned: the probe, such as redox-a.")
  private String probe = "";

  @Option(
      names = "--skimmate",
      paramLabel = "VOLUME",
      description =
          "Skimmate that was emptied, such as 1L; the salt that went with it is reckoned.")
  private String skimmate = "";

  @Override
  Map<String, String> act() {
    Map<String, String> act = new LinkedHashMap<>();
    act.put("act", "note");
    if (!probe.isEmpty()) {
      if (!text.equals(CLEANED)) {
        throw new ParameterException(
            spec.commandLine(), "a remark of several words stands in quotation marks");
      }
      if (!skimmate.isEmpty()) {
        throw new ParameterException(
            spec.commandLine(), "skimmate goes into a note of its own, with no probe cleaned");
      }
      act.put(CLEANED, probe);
      return act;
    }
    act.put("text", text);
    if (!skimmate.isEmpty()) {
      act.put("skimmate", Arguments.amount(List.of(skimmate), ""));
    }
    return act;
  }
}
