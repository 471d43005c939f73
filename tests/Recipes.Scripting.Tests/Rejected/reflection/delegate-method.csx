// R2002
var types = ((Action)(() => { })).Method.Module.GetTypes();
