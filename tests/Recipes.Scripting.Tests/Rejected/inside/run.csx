// R2002
var run = new Recipes.Api.RecipeRun(null, null, null);
