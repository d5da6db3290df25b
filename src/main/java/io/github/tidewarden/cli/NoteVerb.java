package io.github.tidewarden.cli;

import java.util.Map;
import picocli.CommandLine.Command;
import picocli.CommandLine.Parameters;

/** {@code note}: a keeper's remark, kept with the night. */
@Command(name = "note", description = "Records a remark, such as \"probe cleaned\".")
final class NoteVerb extends ActVerb {
  @Parameters(paramLabel = "TEXT", description = "The remark.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private String text;

  @Override
  Map<String, String> act() {
    return Map.of("act", "note", "text", text);
  }
}
