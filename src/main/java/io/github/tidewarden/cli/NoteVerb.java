package io.github.tidewarden.cli;

import java.util.ArrayList;
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
      "Records a remark, such as \"corals fed\".",
      "`note cleaned NAME` records that a redox probe was cleaned, and holds ozone for 24 h.",
      "`note carbon off-gas|effluent` records that carbon was changed; its hours begin anew.",
      "`note residual 0.03mg/L --as Cl2|Br2|O3` records residual oxidant that was measured; over"
          + " 0.06 mg/L as Cl2 ozone rests until a later one is not.",
      "`note skimmer cleaned|tuned|emptied` records what was done to the skimmer."
    })
final class NoteVerb extends ActVerb {
  private static final String CLEANED = "cleaned";
  private static final String RESIDUAL = "residual";

  /** The words that stand before a second one; each is the field of its request. */
  private static final List<String> TOPICS = List.of(CLEANED, "carbon", RESIDUAL, "skimmer");

  @Parameters(
      index = "0",
      paramLabel = "TEXT",
      description = "The remark, or one of: cleaned, carbon, residual, skimmer.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private String text;

  @Parameters(
      index = "1..*",
      arity = "0..*",
      paramLabel = "WHAT",
      description =
          "After cleaned: the probe, such as redox-a. After carbon: off-gas or effluent. After"
              + " residual: the amount, such as 0.03mg/L. After skimmer: cleaned, tuned or emptied.")
  private List<String> what = new ArrayList<>();

  @Option(
      names = "--as",
      paramLabel = "OXIDANT",
      description = "With residual, what the amount is given as: Cl2, Br2 or O3.")
  private String as = "";

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
    if (!as.isEmpty() && !text.equals(RESIDUAL)) {
      throw usage("--as goes with `note residual`");
    }
    if (what.isEmpty() && TOPICS.contains(text)) {
      throw usage(
          "after `" + text + "` say what, or make it a remark of more words in quotation marks");
    }
    if (what.isEmpty()) {
      act.put("text", text);
      if (!skimmate.isEmpty()) {
        act.put("skimmate", Arguments.amount(List.of(skimmate), ""));
      }
      return act;
    }
    if (!TOPICS.contains(text) || (what.size() > 1 && !text.equals(RESIDUAL))) {
      throw usage("a remark of several words stands in quotation marks");
    }
    if (!skimmate.isEmpty()) {
      throw usage("skimmate goes into a note of its own, with a remark");
    }
    if (text.equals(RESIDUAL) && as.isEmpty()) {
      throw usage("say what the test gives its amount as: --as Cl2, Br2 or O3");
    }
    act.put(text, text.equals(RESIDUAL) ? Arguments.amount(what, "") : what.get(0));
    if (!as.isEmpty()) {
      act.put("as", as);
    }
    return act;
  }

  private ParameterException usage(String wrong) {
    return new ParameterException(spec.commandLine(), wrong);
  }
}
