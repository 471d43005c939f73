// R2002
Delegate call = (Action)(() => { });
call.DynamicInvoke();
