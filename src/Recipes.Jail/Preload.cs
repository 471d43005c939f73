using System.Reflection;

namespace Recipes.Jail;

/// <summary>Loads assemblies ahead of the lock.</summary>
public static class Preload
{
    /// <summary>
    /// Loads all that a program refers to, near and far. The runtime opens an assembly when it compiles a method that names it,
    /// which may be at any time.
    /// </summary>
    /// <param name="program">Where to begin.</param>
    /// <param name="without">What isn't needed, with all that only it refers to.</param>
    public static void Assemblies(Assembly program, params ReadOnlySpan<Assembly> without)
    {
        ArgumentNullException.ThrowIfNull(program);
        var seen = new HashSet<string>(StringComparer.Ordinal);
        foreach (var assembly in without)
        {
            seen.Add(assembly.GetName().Name!);
        }

        var waiting = new Queue<Assembly>([program]);
        while (waiting.TryDequeue(out var assembly))
        {
            foreach (var name in assembly.GetReferencedAssemblies())
            {
                if (seen.Add(name.Name!))
                {
                    waiting.Enqueue(Assembly.Load(name));
                }
            }
        }
    }
}
