// R2002
new System.Reflection.Emit.DynamicMethod("x", null, null).GetILGenerator();
