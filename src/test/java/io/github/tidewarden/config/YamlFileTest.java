package io.github.tidewarden.config;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.catchThrowableOfType;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What is refused before anything of the file is believed. */
class YamlFileTest {

  @Test
  void aFileThatIsNotThere() {
    ConfigException refused =
        catchThrowableOfType(
            ConfigException.class, () -> ConfigReader.read(Path.of("nowhere", "lab.yaml")));

    assertThat(refused)
        .hasMessage("nowhere/lab.yaml:1:1: there is no such file; name one that is there");
  }

  @Test
  void aDirectoryInPlaceOfAFile(@TempDir Path dir) {
    ConfigException refused =
        catchThrowableOfType(ConfigException.class, () -> ConfigReader.read(dir));

    assertThat(refused).hasMessage(dir + ":1:1: this is a directory; name the file in it");
  }

  @Test
  void aFileLargerThanOneMebibyte(@TempDir Path dir) throws IOException {
    Path large = dir.resolve("large.yaml");
    Files.writeString(large, "# " + "x".repeat(1 << 20));

    ConfigException refused =
        catchThrowableOfType(ConfigException.class, () -> ConfigReader.read(large));

    assertThat(refused).hasMessage(large + ":1:1: the file is larger than 1 MiB; at most 1 MiB");
  }

  @Test
  void anEmptyFile() {
    refused("", "1:1: the file is empty; a configuration begins with `site:`");
    refused("# only a comment\n", "1:1: the file is empty; a configuration begins with `site:`");
    refused("~", "1:1: `configuration` is empty, not a mapping; write keys with values under it");
  }

  @Test
  void nestingDeeperThanTwenty() {
    refused("a: " + "[".repeat(20) + "]".repeat(20), "1:23: nested too deeply; at most 20 levels");
    refused("[".repeat(100_000), "1:21: nested too deeply; at most 20 levels");
    refused("- ".repeat(50_000), "1:41: nested too deeply; at most 20 levels");
  }

  @Test
  void anchorsAndAliases() {
    String anchor = "anchors, aliases and merge keys are not read; take the anchor out";
    String alias = "anchors, aliases and merge keys are not read; write the value out";
    refused("site: lab\nb: *x\n", "2:4: " + alias);
    refused("a: &a [b]\n", "1:4: " + anchor);
    assertThat(message("a: &x 1\nb: *x\nc: *x\n"))
        .isEqualTo("lab.yaml:1:4: %s\nlab.yaml:2:4: %s\nlab.yaml:3:4: %s", anchor, alias, alias);
    assertThat(message("a: &x 1\n" + "- *x\n".repeat(1000)).lines()).hasSizeLessThan(25);
  }

  @Test
  void aMergeKeyMergesNothing() {
    assertThat(message("tanks: { lagoon: { !!merge <<: { water: 340 L } } }"))
        .isEqualTo(
            "lab.yaml:1:20: anchors, aliases and merge keys are not read; write the keys out");
    assertThat(message("tanks: { lagoon: { <<: { water: 340 L } } }"))
        .contains("1:20: unknown key `<<` in `lagoon`");
  }

  @Test
  void aSecondDocument() {
    refused("site: lab\n---\nsite: lab\n", "2:1: a second document begins; one document a file");
  }

  @Test
  void whatIsNotYaml() {
    assertThat(message("site: [lab\nzone: x\n")).startsWith("lab.yaml:2:5: this is not YAML: ");
    assertThat(message("site: lab\n\tzone: x\n")).startsWith("lab.yaml:2:1: this is not YAML: ");
    assertThat(message("%YAML 3.0\n---\nsite: lab\n")).startsWith("lab.yaml:1:1: this is not YAML");
  }

  @Test
  void bytesThatAreNotUtf8AndCharactersThatYamlDoesNotAllow() {
    byte[] latin = "site: lab\nzone: S\u00e3o\n".getBytes(StandardCharsets.ISO_8859_1);
    ConfigException refused =
        catchThrowableOfType(
            ConfigException.class, () -> ConfigReader.read(ConfigText.FILE, latin));

    assertThat(refused)
        .hasMessage("lab.yaml:2:8: a byte that is not UTF-8; save the file as UTF-8");
    refused(
        "site: lab\nzone: \u0007\n",
        "2:7: a character that YAML does not allow; take it out or write it as an escape in double"
            + " quotes");
  }

  @Test
  void columnsAreCountedInCharactersNotBytes() {
    refused("{ \"s\u00e9\ud83d\ude00\": 1, site: 7, x: ", "1:25: this is not YAML: ");
  }

  @Test
  void aByteOrderMarkIsReadOver() throws ConfigException {
    String text = "\uFEFF" + ConfigText.lab().text();

    assertThat(
            ConfigReader.read(ConfigText.FILE, text.getBytes(StandardCharsets.UTF_8)).site().name())
        .isEqualTo("harbour-lab");
  }

  @Test
  void wordsOfOlderYamlAreTextsLikeAnyOther() throws ConfigException {
    ConfigText text =
        ConfigText.lab()
            .with("\"on\": \"true\", \"off\": \"false\"", "on: yes, off: no")
            .with("running: \"1\", stopped: \"0\"", "running: on, stopped: off");

    assertThat(text.read().site().tanks().get(0).confirms().get("generator").onText())
        .isEqualTo("yes");
  }

  private static void refused(String text, String complaint) {
    assertThat(message(text)).startsWith("lab.yaml:" + complaint).doesNotContain("\n");
  }

  private static String message(String text) {
    return catchThrowableOfType(
            ConfigException.class,
            () -> ConfigReader.read(ConfigText.FILE, text.getBytes(StandardCharsets.UTF_8)))
        .getMessage();
  }
}
