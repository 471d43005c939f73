// R2002
int n = 0;
Action add = () => n++;
object target = add.Target;
