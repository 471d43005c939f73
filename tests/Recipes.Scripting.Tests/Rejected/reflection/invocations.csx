// R2002
Action call = () => { };
var list = call.GetInvocationList();
