// R2002
var context = new System.Runtime.Loader.AssemblyLoadContext("x");
