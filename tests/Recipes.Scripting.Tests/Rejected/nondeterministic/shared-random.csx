// R2002
int n = Random.Shared.Next();
