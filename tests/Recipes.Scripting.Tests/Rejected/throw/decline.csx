// R2002
throw new Recipes.Api.DeclinedException("x");
