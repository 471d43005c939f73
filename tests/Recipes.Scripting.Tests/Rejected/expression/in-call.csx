// R2002
int Take(System.Linq.Expressions.Expression<Func<int, int>> rule) => 1;
Take(n => n + 1);
