using System.ComponentModel;
using System.Diagnostics;
using System.Text;
using Recipes.Files;

namespace Recipes.Desk;

/// <summary>Opens the page in the user's browser. The link holds a code, and every user of the machine can read what programs are started with, so what is
/// started is given a file that only this user can read, which leads on.</summary>
internal static class Browser
{
    /// <summary>Opens it; false where no program for that was found.</summary>
    public static bool TryOpen(Uri link)
    {
        if (UserFolders.State is not { } state || (OperatingSystem.IsLinux() && Environment.GetEnvironmentVariable("DISPLAY") is null
            && Environment.GetEnvironmentVariable("WAYLAND_DISPLAY") is null))
        {
            return false;
        }

        try
        {
            string page = Path.Combine(state, "desk", "open.html");
            OwnerOnly.CreateFolder(Path.GetDirectoryName(page)!);
            byte[] text = Encoding.UTF8.GetBytes(
                $"<!DOCTYPE html><html lang=\"en\"><meta charset=\"utf-8\"><title>Recipes desk</title><meta http-equiv=\"refresh\" content=\"0; url={link}\">");
            AtomicFile.Write(page, stream => stream.Write(text), ownerOnly: true);
            var start = OperatingSystem.IsWindows() ? new ProcessStartInfo(page) { UseShellExecute = true }
                : new ProcessStartInfo(OperatingSystem.IsMacOS() ? "open" : "xdg-open") { ArgumentList = { page } };
            using var process = Process.Start(start);
            return process is not null;
        }
        catch (Exception e) when (e is Win32Exception or IOException or UnauthorizedAccessException or Problems.ProblemException)
        {
            return false;
        }
    }
}
