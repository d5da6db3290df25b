package io.github.tidewarden.cli;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code note}: a keeper's remark, kept with the night. */
@Command(name = "note", description = "Records a remark, such as \"probe cleaned\".")
final class NoteVerb extends ActVerb {
  @Parameters(paramLabel = "TEXT", description = "The remark.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private String text;

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
    act.put("text", text);
    if (!skimmate.isEmpty()) {
      act.put("skimmate", Arguments.amount(List.of(skimmate), ""));
    }
    return act;
  }
}
