// R2002
var states = Enum.GetValues<InkState>();
