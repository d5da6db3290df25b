package io.github.tidewarden.dosing;

import org.junit.jupiter.api.Test;

/** A thousand nights of dosing that learns; on request only, see DEVELOPERS.md. */
class LearnedDosingCampaign {

  @Test
  void ofAThousandNightsHardlyOneIsOverTheBand() {
    LearnedNights.lives(200);
  }
}
