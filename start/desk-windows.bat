@echo off
rem Opens the instructor's desk in the browser. It needs the program uv once; see below.
cd /d "%~dp0.."
set "PATH=%PATH%;%USERPROFILE%\.local\bin;%USERPROFILE%\.cargo\bin"
where uv >nul 2>&1
if errorlevel 1 goto own
if not exist ".venv" echo Getting ready. The first start takes the network and a few minutes.
uv run --frozen coursekit desk %*
goto end
:own
if not exist ".venv\Scripts\coursekit.exe" goto none
".venv\Scripts\coursekit.exe" desk %*
goto end
:none
echo The desk needs the program uv. Get it once as https://docs.astral.sh/uv says, then start again.
pause
exit /b 1
:end
if errorlevel 1 pause
