// R2002
System.Linq.Expressions.Expression<Func<int>> one = () => 1;
Report.Note($"{one.Compile()()}");
