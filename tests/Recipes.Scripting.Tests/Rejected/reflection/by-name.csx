// R2002
var methods = Type.GetType("System.IO.File").GetMethods();
