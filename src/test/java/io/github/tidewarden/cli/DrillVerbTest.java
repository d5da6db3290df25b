package io.github.tidewarden.cli;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.io.PrintWriter;
import java.io.StringWriter;
import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** How {@code drill} ends. */
class DrillVerbTest {
  private static final String LAB = "config/harbour-lab.yaml";

  @TempDir private Path directory;
  private final StringWriter out = new StringWriter();
  private final StringWriter err = new StringWriter();
  private String good = "";
  private String failing = "";
  private String wrong = "";

  @BeforeEach
  void writeDrills() throws IOException {
    good = write("good.yaml", "at: 2 min, rest: generator");
    failing = write("failing.yaml", "at: 2 min, on: generator");
    wrong = write("wrong.yaml", "at: 2 min, onn: generator");
  }

  private String write(String name, String expected) throws IOException {
    return Files.writeString(
            directory.resolve(name),
            "name: %s\ntank: lagoon\nstart: 2026-01-15 01:20\nexpect: [ { %s } ]\n"
                .formatted(name, expected))
        .toString();
  }

  @Test
  void whatPassesEndsWith0() {
    assertThat(drill("--config", LAB, good, good)).isZero();
    assertThat(out.toString())
        .startsWith("passed: good.yaml: 1 expectation, 2 min in ")
        .endsWith("2 drills passed\n");
    assertThat(err.toString()).isEmpty();
  }

  @Test
  void whatFailsEndsWith1AndTheOthersArePlayed() throws IOException {
    assertThat(drill("--config", LAB, failing, good)).isEqualTo(1);
    assertThat(out.toString())
        .contains("FAILED: failing.yaml", failing + ":4:28\n", "passed: good.yaml")
        .endsWith("1 of 2 drills failed\n");

    assertThat(drill("--json", "--config", LAB, failing, good)).isEqualTo(1);
    JsonNode root = new ObjectMapper().readTree(out.toString());
    assertThat(root.at("/site").textValue()).isEqualTo("harbour-lab");
    assertThat(root.at("/drills/0/failures/0/line").intValue()).isEqualTo(4);
    assertThat(root.at("/drills/0/failures/0/column").intValue()).isEqualTo(28);
    assertThat(root.at("/drills/1/passed").booleanValue()).isTrue();
    assertThat(root.at("/failed").intValue()).isEqualTo(1);
    assertThat(root.at("/run").isObject()).isTrue();
  }

  @Test
  void aDrillThatIsWrongEndsWith65AndNothingIsPlayed() throws IOException {
    assertThat(drill("--config", LAB, good, wrong, "nowhere.yaml")).isEqualTo(65);
    assertThat(err.toString())
        .contains(wrong + ":4:24: unknown key `onn` in `expect`; write `on`")
        .contains("nowhere.yaml:1:1: there is no such file");
    assertThat(out.toString()).isEmpty();

    assertThat(drill("--json", "--config", LAB, good, wrong)).isEqualTo(65);
    assertThat(new ObjectMapper().readTree(out.toString()).at("/complaints/0/file").textValue())
        .isEqualTo(wrong);
  }

  @Test
  void aConfigurationThatIsWrongEndsWith78() throws IOException {
    String bad =
        Files.writeString(
                directory.resolve("bad.yaml"),
                Files.readString(Path.of(LAB)).replace("holds: 120 L", "holds: 120"))
            .toString();
    assertThat(drill("--config", bad, good)).isEqualTo(78);
    assertThat(err.toString()).containsPattern("bad\\.yaml:[0-9]+:[0-9]+: `holds`");

    assertThat(drill("--json", "--config", bad, good)).isEqualTo(78);
    assertThat(new ObjectMapper().readTree(out.toString()).at("/complaints")).hasSize(1);
  }

  @Test
  void withoutADrillTheCommandLineIsWrong() {
    assertThat(drill("--config", LAB)).isEqualTo(64);
  }

  private int drill(String... arguments) {
    out.getBuffer().setLength(0);
    err.getBuffer().setLength(0);
    String[] line = new String[arguments.length + 1];
    line[0] = "drill";
    System.arraycopy(arguments, 0, line, 1, arguments.length);
    return Tidewarden.run(new PrintWriter(out, true), new PrintWriter(err, true), line);
  }
}
