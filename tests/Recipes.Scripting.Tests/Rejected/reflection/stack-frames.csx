// R2002
var frames = new System.Diagnostics.StackTrace().GetFrames();
