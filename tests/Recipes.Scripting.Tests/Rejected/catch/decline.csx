// R2002
try
{
    Recipe.Decline("no");
}
catch (Recipes.Api.DeclinedException)
{
}
