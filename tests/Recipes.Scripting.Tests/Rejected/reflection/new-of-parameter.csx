// R2003
T Make<T>() where T : new() => new T();
var list = Make<List<int>>();
