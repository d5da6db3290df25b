package io.github.tidewarden.cli;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.io.IOException;
import java.io.PrintWriter;
import java.io.StringWriter;
import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** {@code rehearse} with a tank model. */
class RehearseVerbTest {
  private static final String SMALLEST = "config/smallest.yaml";

  @TempDir private Path directory;
  private final StringWriter out = new StringWriter();
  private final StringWriter err = new StringWriter();

  private int rehearse(String... more) {
    out.getBuffer().setLength(0);
    err.getBuffer().setLength(0);
    String[] arguments = new String[more.length + 5];
    System.arraycopy(
        new String[] {"rehearse", "--config", SMALLEST, "--nights", "1"}, 0, arguments, 0, 5);
    System.arraycopy(more, 0, arguments, 5, more.length);
    return Tidewarden.run(new PrintWriter(out, true), new PrintWriter(err, true), arguments);
  }

  private String model(String text) throws IOException {
    return Files.writeString(directory.resolve("mine.yaml"), text).toString();
  }

  /** What differs from run to run stands under one key. */
  private ObjectNode result() throws IOException {
    ObjectNode root = (ObjectNode) new ObjectMapper().readTree(out.toString());
    root.remove("run");
    return root;
  }

  @Test
  void aModelThatIsWrongEndsWith78AndItsPlace() throws IOException {
    String wrong = model("all-tanks:\n  redox: { gian: 90 mV }\n");
    assertThat(rehearse("--tank-model", wrong)).isEqualTo(78);
    assertThat(err.toString())
        .startsWith(wrong + ":2:12: unknown key `gian` in `redox`; write `gain`");
    assertThat(out.toString()).isEmpty();
    String none = directory.resolve("none.yaml").toString();
    assertThat(rehearse("--tank-model", none)).isEqualTo(78);
    assertThat(err.toString()).startsWith(none + ":1:1: there is no such file");
  }

  @Test
  void theSameSeedAndFileGiveTheSameBytesAndTellOfTheFile() throws IOException {
    String strong = model("all-tanks: { redox: { without-ozone: 300 mV, gain: 60 mV } }");
    Path page = directory.resolve("page.html");
    assertThat(rehearse("--json", "--tank-model", strong, "--html", page.toString())).isZero();
    String first = result().toString();
    JsonNode said = result().at("/tank-model");
    assertThat(said.at("/file").textValue()).isEqualTo("mine.yaml");
    assertThat(result().at("/again").textValue())
        .startsWith("java -jar tidewarden.jar rehearse --config ")
        .contains(" --seed ", " --from ")
        .endsWith(" --tank-model " + strong);
    assertThat(said.at("/sha256").textValue()).matches("[0-9a-f]{64}");
    assertThat(said.at("/tanks").elements().next().at("/redox.gain").textValue())
        .isEqualTo("60 mV");
    assertThat(Files.readString(page))
        .contains("mine.yaml", "tank model, redox: without-ozone 300 mV, gain 60 mV");
    assertThat(rehearse("--json", "--tank-model", strong)).isZero();
    assertThat(result().toString()).isEqualTo(first);
    assertThat(rehearse("--json")).isZero();
    assertThat(result().has("tank-model")).isFalse();
    assertThat(result().at("/tanks").toString())
        .isNotEqualTo(new ObjectMapper().readTree(first).at("/tanks").toString());
  }

  @Test
  void aModelWithABrokenDeviceIsNotSaidToHaveNone() throws IOException {
    String welded = model("tanks: { lagoon: { devices: { generator: welded } } }");
    assertThat(rehearse("--tank-model", welded)).isZero();
    assertThat(out.toString())
        .contains(", with what the tank model says is wrong with devices\n")
        .contains("    generator is broken, by the tank model: it ignores OFF")
        .contains("It reports no `state`, so the daemon cannot tell: give it one.")
        .doesNotContain("`stop-above`", "redox reaches the ceiling")
        .doesNotContain("nothing wrong with any device");
  }

  @Test
  void redoxThatIsHighWithoutOzoneIsToldAsThat() throws IOException {
    String high =
        model(
            "all-tanks: { redox: { at-start: 372 mV, without-ozone: 372 mV, daily-swing: 5 mV } }");
    assertThat(rehearse("--tank-model", high)).isZero();
    assertThat(out.toString())
        .contains("ozone: 0.0 to 0.0 min a night")
        .contains("    redox is 367 to 377 mV without any ozone, 3 mV under the ceiling: no dose")
        .doesNotContain("after the dose", "`stop-above`", "the band is too low");
  }

  /** A night takes a second at least: refused before any is lived through. */
  @Test
  void aPictureThatCannotBeWrittenIsRefusedBeforeTheFirstNight() throws IOException {
    Path missing = directory.resolve("missing");
    assertThat(rehearse("--html", missing.resolve("page.html").toString())).isEqualTo(74);
    assertThat(err.toString())
        .startsWith("tidewarden: --html " + missing)
        .contains("nothing was begun: there is no directory " + missing + "; make it first")
        .doesNotContain(" of 1 nights");
    assertThat(out.toString()).isEmpty();
    assertThat(rehearse("--html", directory.toString())).isEqualTo(74);
    assertThat(err.toString()).contains("it is a directory; name a file in it");
    Path file = Files.writeString(directory.resolve("file"), "");
    assertThat(rehearse("--html", file.resolve("page.html").toString())).isEqualTo(74);
    assertThat(err.toString()).contains("there is no directory " + file);
  }

  /** What stood there is not lost by a rehearsal that is refused, and no empty file is left. */
  @Test
  void aRehearsalThatIsRefusedLeavesThePictureAlone() throws IOException {
    Path old = Files.writeString(directory.resolve("old.html"), "last week");
    Path fresh = directory.resolve("new.html");
    String wrong = model("all-tanks:\n  redox: { gian: 90 mV }\n");
    assertThat(rehearse("--html", old.toString(), "--tank-model", wrong)).isEqualTo(78);
    assertThat(old).hasContent("last week");
    assertThat(rehearse("--html", fresh.toString(), "--tank-model", wrong)).isEqualTo(78);
    assertThat(fresh).doesNotExist();
  }

  @Test
  void aReplayRefusesItsPictureToo() {
    Path missing = directory.resolve("missing/page.html");
    int exit =
        Tidewarden.run(
            new PrintWriter(out, true),
            new PrintWriter(err, true),
            "replay",
            "--config",
            SMALLEST,
            "--night",
            "2026-01-14",
            "--html",
            missing.toString());
    assertThat(exit).isEqualTo(74);
    assertThat(err.toString()).contains("--html " + missing, "nothing was begun");
  }
}
