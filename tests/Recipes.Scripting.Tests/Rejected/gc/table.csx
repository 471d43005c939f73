// R2002
var table = new System.Runtime.CompilerServices.ConditionalWeakTable<string, string>();
