// R2001
var list = Recipes.Checking.AllowList.Current;
