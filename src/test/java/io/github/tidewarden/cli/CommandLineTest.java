package io.github.tidewarden.cli;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.audit.AuditLog;
import io.github.tidewarden.audit.AuditRecovery;
import io.github.tidewarden.audit.DirectoryFiles;
import io.github.tidewarden.audit.Fold;
import io.github.tidewarden.broker.LoopbackPort;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Checkpoint;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.control.SiteMemory;
import java.io.FileWriter;
import java.io.IOException;
import java.io.PrintWriter;
import java.io.StringWriter;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.time.LocalDate;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** How a verb ends and what it says when it cannot do what was asked. Codes after sysexits.h. */
class CommandLineTest {
  private static final String CLASS_NAME =
      "(?s).*\\b(java|javax|org|com)\\.\\w+\\..*|.*Exception.*";

  @TempDir private Path directory;
  private final StringWriter out = new StringWriter();
  private final StringWriter err = new StringWriter();

  @ParameterizedTest
  @ValueSource(strings = {"verify", "show"})
  void whereNoAuditIsThereIsNothingGood(String verb) throws IOException {
    Files.writeString(directory.resolve("shopping.txt"), "carbon");

    assertThat(run("audit", verb, directory.toString())).isEqualTo(65);
    assertThat(err.toString()).startsWith("tidewarden: there is no audit here: " + directory);
    assertThat(out.toString()).isEmpty();

    Files.createDirectories(directory.resolve("audit"));
    assertThat(run("audit", verb, directory.toString())).isEqualTo(65);
  }

  @Test
  void anAuditIsGoodAndShown() throws IOException {
    writeAudit("wave\nmade");

    assertThat(run("audit", "verify", directory.toString())).isZero();
    assertThat(out.toString()).startsWith("good: 2 records, 1 to 2, head ");
    assertThat(run("audit", "show", "--zone", "UTC", directory.toString())).isZero();
    assertThat(out.toString()).contains("22:30:00   lagoon       notice         wave\ufffdmade");
  }

  @Test
  void saysThatNothingIsOfWhatWasAskedFor() throws IOException {
    writeAudit("wave made");

    assertThat(run("audit", "show", "--tank", "nonsense", directory.toString())).isZero();
    assertThat(out.toString()).isEmpty();
    assertThat(err.toString()).contains("nothing to show");
  }

  @Test
  void whatIsNotThereIsSaidInWords() throws IOException {
    assertThat(run("audit", "verify", directory.resolve("nowhere").toString())).isEqualTo(74);
    assertThat(err.toString()).contains("nowhere: there is no such directory");

    assertThat(run("review", "--config", site(1883).toString())).isEqualTo(74);
    assertThat(err.toString()).contains("audit: no daemon has written here yet");

    assertThat(run("check", "--config", "nowhere.yaml")).isEqualTo(78);
    assertThat(err.toString())
        .isEqualTo("nowhere.yaml:1:1: there is no such file; name one that is there\n");

    assertThat(run("check", "--config", directory.toString())).isEqualTo(78);
    assertThat(err.toString()).contains("this is a directory");
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "rehearse --config x --nights 1 --from=0001-01-01 | not between 2000-01-01 and 2099-12-31",
        "rehearse --config x --nights 1 --from=+999999999-12-31 | between 2000-01-01 and 2099-12-31",
        "rehearse --config x --nights 1 --from=1999-12-31 | \"1999-12-31\" is not between 2000-01-01",
        "replay --config x --night=-999999999-01-01 | is not between 2000-01-01 and 2099-12-31",
        "replay --config x --night=2100-01-01 | \"2100-01-01\" is not between 2000-01-01",
        "review --config x --night 2026-13-01 | \"2026-13-01\" is not a date; write it as 2026-",
        "audit show --zone Mars/X x | \"Mars/X\" is not a time zone; write a region such as",
        "audit show --from yesterday x | \"yesterday\" is not a time in UTC; write it as 2026-",
        "review --config x --format html | expected one of [text, json]",
        "audit show | Missing required parameter: 'DIR'",
        "hold --config x --tank t --by I --for 1h --release | are mutually exclusive",
        "hold --config x --tank t --by I | Missing required argument",
        "calibrate | Missing required subcommand",
        "calibrate probe --config x --tank t --by I --in zobell --temperature 25 | Missing required",
        "feed | Unmatched argument at index 0: 'feed'"
      })
  void aValueThatIsNoneIsRefusedWithWhatWouldBeRight(String line, String said) {
    assertThat(run(line.split(" "))).isEqualTo(64);
    assertThat(err.toString()).contains(said);
  }

  /** No broker is there: the configuration alone says so. */
  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "note --tank lagune emptied | refused: there is no tank \"lagune\"",
        "batch --tank lagoon --salinity 35 --temperature 25C --mixed-for 4h | \"25 Cel\"",
        "hold --tank lagoon --for 20mins | \"mins\" is not a unit",
        "calibrate probe --tank lagoon --in zobel --temperature 25 redox | \"zobel\" is none of zobell",
        "calibrate probe --tank lagoon --in light --temperature 20 redox | Light (1972) tells of this",
        "note --tank lagoon carbon floor | \"floor\" is none of off-gas, effluent",
        "note --tank lagoon skimmer oiled | \"oiled\" is none of cleaned, tuned, emptied",
        "note --tank lagoon residual 7mg/L --as Cl2 | is not between 0 and 5 mg/L",
        "note --tank lagoon residual 0.03 --as Cl2 | residual: ",
        "note --tank lagoon residual 0.03mg/L --as chlorine | \"chlorine\" is none of O3, Cl2, Br2",
        "hold --tank lagoon --function skimmer --for 20min | none of tank, ozone, exchange, top-off",
      })
  void whatTheConfigurationKnowsIsSaidBeforeTheBrokerIsAsked(String act, String said)
      throws IOException {
    String[] words = act.split(" ", 2);
    String verb = words[0] + (words[1].startsWith("probe ") ? " probe" : "");
    String rest = words[1].startsWith("probe ") ? words[1].substring(6) : words[1];
    String line = verb + " --config " + site(LoopbackPort.free()) + " --by Ines " + rest;
    assertThat(run(line.split(" "))).isEqualTo(65);
    assertThat(out.toString()).contains(said);
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "note TANK --skimmate 1L emptied",
        "reset TANK --interlock redox-ceiling",
        "batch TANK --salinity 35 --temperature 25 --mixed-for 4h",
        "batch TANK --salinity 35 PSU --temperature 25 Cel --mixed-for 4 h --volume 100 L",
        "calibrate pump TANK drain --measured 480 mL --for 120 s",
        "calibrate pump drain --measured 480mL --for 120s TANK",
        "calibrate probe redox-a TANK --in zobell --temperature 25Cel",
        "calibrate probe TANK --in 228mV --temperature 25Cel --note fresh redox-a",
        "calibrate probe TANK --temperature 25 --source nordstrom --in zobell redox-a",
        "note cleaned redox-a TANK",
        "note carbon off-gas TANK",
        "note TANK carbon effluent",
        "note skimmer cleaned TANK",
        "note residual 0.03mg/L --as Cl2 TANK",
        "note TANK --as Br2 residual 0.03 mg/L",
        "hold TANK --for 20 min --because feeding",
        "hold TANK --function exchange --until 2026-12-01",
        "hold TANK --release",
        "hold TANK --release 2026-12-01",
      })
  void withoutABrokerAKeepersActIsUnavailable(String act) throws IOException {
    String tank = "--config " + site(LoopbackPort.free()) + " --tank lagoon --by Ines";

    assertThat(run(act.replace("TANK", tank).split(" "))).isEqualTo(69);
    assertThat(err.toString())
        .contains(
            "the broker at mqtt://127.0.0.1:", "cannot be asked: Connection refused; does it");
  }

  @ParameterizedTest
  @CsvSource({"In\ufffds, a letter was lost", "'Ines\u001b[2J', a control character"})
  void whatCannotBePassedOnAsItWasMeantIsRefused(String name, String said) throws IOException {
    String config = site(LoopbackPort.free()).toString();

    assertThat(run("note", "--config", config, "--tank", "lagoon", "--by", name, "text"))
        .isEqualTo(64);
    assertThat(err.toString()).contains(said).doesNotContain("\u001b");
  }

  @Test
  void aRemarkOfSeveralWordsStandsInQuotationMarks() throws IOException {
    String config = site(LoopbackPort.free()).toString();

    assertThat(run("note", "--config", config, "--tank", "lagoon", "--by", "I", "fed", "corals"))
        .isEqualTo(64);
    assertThat(err.toString()).contains("a remark of several words stands in quotation marks");
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "note residual 0.03mg/L | say what the test gives its amount as: --as Cl2, Br2 or O3",
        "note residual | after `residual` say what",
        "note carbon | after `carbon` say what",
        "note carbon off gas | a remark of several words stands in quotation marks",
        "note cleaned redox-a --as Cl2 | --as goes with `note residual`",
      })
  void aNoteThatSaysTooLittleIsRefusedAtOnce(String line, String said) throws IOException {
    String config = site(LoopbackPort.free()).toString();

    assertThat(run((line + " --tank lagoon --by Ines --config " + config).split(" ")))
        .isEqualTo(64);
    assertThat(err.toString()).contains(said);
  }

  @Test
  void aRemarkOfTwoLinesIsRefused() throws IOException {
    String config = site(LoopbackPort.free()).toString();

    assertThat(run("note", "--config", config, "--tank", "lagoon", "--by", "Ines", "one\ntwo"))
        .isEqualTo(64);
    assertThat(err.toString()).contains("write one line of plain text");
  }

  @ParameterizedTest
  @ValueSource(strings = {"--help", "check --config config/harbour-lab.yaml"})
  void outputThatCannotBeWrittenIsNoSuccess(String line) throws IOException {
    try (PrintWriter full =
        new PrintWriter(new FileWriter("/dev/full", StandardCharsets.UTF_8), true)) {
      assertThat(Tidewarden.run(full, new PrintWriter(err, true), line.split(" "))).isEqualTo(74);
    }
    assertThat(err.toString()).contains("standard output could not be written");
  }

  /** Runs a verb; nothing that it says names a class of Java. */
  private int run(String... arguments) {
    out.getBuffer().setLength(0);
    err.getBuffer().setLength(0);
    int code = Tidewarden.run(new PrintWriter(out, true), new PrintWriter(err, true), arguments);
    assertThat(err.toString()).doesNotMatch(CLASS_NAME);
    return code;
  }

  /** A configuration whose state is below the test's directory. */
  private Path site(int port) throws IOException {
    return Files.writeString(
        directory.resolve("site.yaml"),
        Files.readString(Path.of("config/smallest.yaml"))
            .replace("localhost:1883", "127.0.0.1:" + port)
            .replace("/var/lib/tidewarden", directory.resolve("state").toString()));
  }

  private void writeAudit(String why) throws IOException {
    DirectoryFiles files = new DirectoryFiles(directory.resolve("audit"));
    Fold<SiteMemory> fold =
        new Fold<>() {
          @Override
          public SiteMemory apply(SiteMemory state, AuditRecord record) {
            return state.apply(record);
          }

          @Override
          public Map<String, Object> checkpoint(SiteMemory state) {
            return Checkpoint.of(state);
          }
        };
    Instant at = Instant.parse("2026-06-01T22:30:00Z");
    try (AuditLog<SiteMemory> log =
        new AuditLog<>(files, AuditRecovery.recover(files), SiteMemory.BLANK, fold)) {
      log.append(
          new AuditRecord(at, true, 1, "lagoon", Kind.NOTICE, why, Map.of()),
          LocalDate.of(2026, 6, 1));
      log.sync();
    }
  }
}
