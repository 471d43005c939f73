// R2002
int n = EqualityComparer<string>.Default.GetHashCode("wing");
