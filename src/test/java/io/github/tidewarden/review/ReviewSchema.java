package io.github.tidewarden.review;

import static org.assertj.core.api.Assertions.assertThat;

import com.networknt.schema.Error;
import com.networknt.schema.InputFormat;
import com.networknt.schema.Schema;
import com.networknt.schema.SchemaRegistry;
import com.networknt.schema.SpecificationVersion;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;

/** The published schema, with formats held to as well. */
final class ReviewSchema {
  private static final Path FILE = Path.of("src/site/resources/review.schema.json");

  private ReviewSchema() {}

  static Schema read() throws IOException {
    return SchemaRegistry.withDefaultDialect(SpecificationVersion.DRAFT_2020_12)
        .getSchema(Files.readString(FILE), InputFormat.JSON);
  }

  static List<Error> flaws(Schema schema, String json) {
    return schema.validate(
        json,
        InputFormat.JSON,
        context -> context.executionConfig(config -> config.formatAssertionsEnabled(true)));
  }

  static void assertDescribes(Schema schema, String json) {
    assertThat(flaws(schema, json)).isEmpty();
  }
}
