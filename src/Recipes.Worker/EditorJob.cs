using System.Text;
using Recipes.Protocol;
using Recipes.Scripting;

namespace Recipes.Worker;

/// <summary>Makes the reference assemblies for editors. An empty request; a name and an image each, and an empty name behind the last.</summary>
internal static class EditorJob
{
    public static void Do(Request from, Stream output)
    {
        Frame.Read(from.Stream, Frame.Bytes, 0);
        from.HasBeenRead();
        foreach (var (name, image) in EditorReferences.Make())
        {
            Frame.Write(output, Frame.Bytes, Encoding.UTF8.GetBytes(name));
            Frame.Write(output, Frame.Bytes, image);
        }

        Frame.Write(output, Frame.Bytes, []);
    }
}
