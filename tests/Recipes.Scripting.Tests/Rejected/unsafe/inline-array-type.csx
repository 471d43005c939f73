// R2002 source
var row = new System.Runtime.CompilerServices.InlineArray4<int>();
