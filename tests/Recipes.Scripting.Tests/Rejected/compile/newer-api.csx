// R2009
Recipe.NeedsApi(2);
Art.FutureOperation(Art.Find.FutureRegion());
