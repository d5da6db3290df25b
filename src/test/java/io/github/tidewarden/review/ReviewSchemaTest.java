package io.github.tidewarden.review;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.ObjectNode;
import com.networknt.schema.InputFormat;
import com.networknt.schema.Schema;
import com.networknt.schema.SchemaLocation;
import com.networknt.schema.SchemaRegistry;
import com.networknt.schema.SpecificationVersion;
import io.github.tidewarden.control.RecordedNights;
import io.github.tidewarden.control.RecordedWater;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;

/** The published schema says what the JSON is, no more and no less. */
class ReviewSchemaTest {
  private static final ObjectMapper JSON = new ObjectMapper();
  private static Schema schema;
  private static String latched;
  private static String cared;
  private static String exchanged;

  @BeforeAll
  static void nightsWithNearlyEverything() throws IOException {
    schema = ReviewSchema.read();
    latched = ReviewTest.review(RecordedNights.latched()).json();
    cared = ReviewTest.review(ToldCareTest.night().measures("0.01", "Ana")).json();
    exchanged =
        ToldWaterTest.review(
                RecordedWater.evening(1)
                    .asks("hold", "name", "ozone", "for", "1 h")
                    .untilDone(1)
                    .records())
            .json();
  }

  @Test
  void theSchemaIsOneOfItsDraft() throws IOException {
    Schema meta =
        SchemaRegistry.withDefaultDialect(SpecificationVersion.DRAFT_2020_12)
            .getSchema(SchemaLocation.of("https://json-schema.org/draft/2020-12/schema"));
    String text = Files.readString(Path.of("src/site/resources/review.schema.json"));
    assertThat(meta.validate(text, InputFormat.JSON)).isEmpty();
  }

  @Test
  void aReviewIsAsTheSchemaSays() {
    ReviewSchema.assertDescribes(schema, latched);
    ReviewSchema.assertDescribes(schema, exchanged);
    ReviewSchema.assertDescribes(schema, ReviewTest.review(RecordedNights.good()).json());
    ReviewSchema.assertDescribes(schema, ReviewTest.review(RecordedNights.calibrated()).json());
  }

  @Test
  void noKeyMayGoOrComeOrChangeItsKind() throws IOException {
    assertThat(refused(latched)).contains("counted-ms", "first-out", "reference", "peak-mv");
    assertThat(refused(cared)).contains("ozone-ms", "mg-per-l-as-cl2", "over", "measured");
    assertThat(
            refused(
                ReviewTest.review(RecordedNights.skimmerCleaned().measures("0.01", "Ana")).json()))
        .contains("air-before-l-min", "redox-after-mv", "emptied");
    assertThat(refused(exchanged))
        .contains("owed-ml", "stage", "week-new-percent", "moves-ml-min")
        .contains("salinity-psu", "drawn-ml", "released-by", "what");
  }

  /** Every key of which the schema says that it must be there, and of its kind. */
  private static List<String> refused(String json) throws IOException {
    List<String> refused = new ArrayList<>();
    List<ObjectNode> objects = objects(JSON.readTree(json));
    assertThat(objects).hasSizeGreaterThanOrEqualTo(10);
    for (int i = 0; i < objects.size(); i++) {
      JsonNode root = JSON.readTree(json);
      ObjectNode object = objects(root).get(i);
      for (String key : fieldNames(object)) {
        JsonNode value = object.remove(key);
        assertThat(ReviewSchema.flaws(schema, root.toString())).as("without " + key).isNotEmpty();
        object.putObject(key).put("odd", true);
        assertThat(ReviewSchema.flaws(schema, root.toString())).as("an odd " + key).isNotEmpty();
        object.set(key, value);
        refused.add(key);
      }
      object.put("more", 1);
      assertThat(ReviewSchema.flaws(schema, root.toString())).as("more").isNotEmpty();
    }
    return refused;
  }

  private static List<String> fieldNames(ObjectNode object) {
    List<String> names = new ArrayList<>();
    object.fieldNames().forEachRemaining(names::add);
    return names;
  }

  private static List<ObjectNode> objects(JsonNode node) {
    List<ObjectNode> objects = new ArrayList<>();
    if (node instanceof ObjectNode object) {
      objects.add(object);
    }
    for (JsonNode child : node) {
      objects.addAll(objects(child));
    }
    return objects;
  }
}
