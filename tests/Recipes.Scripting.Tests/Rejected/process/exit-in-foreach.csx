// R2002
List<int> codes = [1, 2, 3];
codes.ForEach(code => Environment.Exit(code));
