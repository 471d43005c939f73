// R2003
var types = typeof(string).Assembly.GetTypes();
