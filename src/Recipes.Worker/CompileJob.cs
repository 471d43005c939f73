using Recipes.Protocol;
using Recipes.Scripting;

namespace Recipes.Worker;

/// <summary>Compiles one recipe.</summary>
internal static class CompileJob
{
    public static void Do(Request from, Stream output)
    {
        var request = Message.Read<CompileRequest>(from.Stream);
        from.HasBeenRead();
        var compiled = RecipeCompiler.Compile(request);
        Message.Write(output, compiled.Reply);
        if (compiled.Assembly is { } assembly)
        {
            Frame.Write(output, Frame.Bytes, assembly);
        }
    }
}
