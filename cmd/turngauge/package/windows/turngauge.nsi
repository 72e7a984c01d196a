; The installer, for the one who runs it: nothing of it needs an administrator.
; makensis -DVERSION= -DFOLDER= -DOUT= turngauge.nsi
Unicode true
Target amd64-unicode
; Not lzma: the compiler hands its bytes from thread to thread, for minutes on a busy machine.
SetCompressor /SOLID zlib
SetDateSave off
Name "Turngauge ${VERSION}"
OutFile "${OUT}"
InstallDir "$LOCALAPPDATA\Programs\Turngauge"
InstallDirRegKey HKCU "Software\Turngauge" "Folder"
RequestExecutionLevel user
ManifestDPIAware true
Icon "${FOLDER}\turngauge.ico"
UninstallIcon "${FOLDER}\turngauge.ico"
BrandingText " "

Page directory
Page instfiles
UninstPage uninstConfirm
UninstPage instfiles

!define KEPT "Software\Microsoft\Windows\CurrentVersion\Uninstall\Turngauge"
!define KIND "Turngauge.Lesson"
!define CLASSES "Software\Classes"

Section
	SetOutPath "$INSTDIR"
	File /r "${FOLDER}\*.*"
	WriteUninstaller "$INSTDIR\uninstall.exe"
	CreateShortcut "$SMPROGRAMS\Turngauge.lnk" "$INSTDIR\turngauge.exe"
	WriteRegStr HKCU "Software\Turngauge" "Folder" "$INSTDIR"

	; Offered by "Open with"; what .json and clips open with is left alone.
	WriteRegStr HKCU "${CLASSES}\${KIND}" "" "Golf lesson"
	WriteRegStr HKCU "${CLASSES}\${KIND}\DefaultIcon" "" "$INSTDIR\turngauge.exe,0"
	WriteRegStr HKCU "${CLASSES}\${KIND}\shell\open\command" "" '"$INSTDIR\turngauge.exe" "%1"'
	WriteRegStr HKCU "${CLASSES}\Applications\turngauge.exe\shell\open\command" "" '"$INSTDIR\turngauge.exe" "%1"'
	WriteRegStr HKCU "${CLASSES}\.json\OpenWithProgids" "${KIND}" ""
	WriteRegStr HKCU "${CLASSES}\.mp4\OpenWithProgids" "${KIND}" ""
	WriteRegStr HKCU "${CLASSES}\.mov\OpenWithProgids" "${KIND}" ""
	System::Call 'shell32::SHChangeNotify(i 0x08000000, i 0, p 0, p 0)' ; SHCNE_ASSOCCHANGED

	WriteRegStr HKCU "${KEPT}" "DisplayName" "Turngauge"
	WriteRegStr HKCU "${KEPT}" "DisplayVersion" "${VERSION}"
	WriteRegStr HKCU "${KEPT}" "DisplayIcon" "$INSTDIR\turngauge.exe"
	WriteRegStr HKCU "${KEPT}" "Publisher" "The Turngauge developers"
	WriteRegStr HKCU "${KEPT}" "UninstallString" '"$INSTDIR\uninstall.exe"'
	WriteRegDWORD HKCU "${KEPT}" "NoModify" 1
	WriteRegDWORD HKCU "${KEPT}" "NoRepair" 1
SectionEnd

; Lessons, the library and the settings stay. Only what was installed goes: the folder can be one
; that has other things in it.
Section Uninstall
	Delete "$INSTDIR\turngauge.exe"
	Delete "$INSTDIR\turngauge.com"
	Delete "$INSTDIR\turngauge.ico"
	Delete "$INSTDIR\README.txt"
	Delete "$INSTDIR\av*-*.dll"
	Delete "$INSTDIR\sw*-*.dll"
	RMDir /r "$INSTDIR\licences"
	Delete "$INSTDIR\uninstall.exe"
	RMDir "$INSTDIR"
	Delete "$SMPROGRAMS\Turngauge.lnk"
	DeleteRegKey HKCU "${CLASSES}\${KIND}"
	DeleteRegKey HKCU "${CLASSES}\Applications\turngauge.exe"
	DeleteRegValue HKCU "${CLASSES}\.json\OpenWithProgids" "${KIND}"
	DeleteRegValue HKCU "${CLASSES}\.mp4\OpenWithProgids" "${KIND}"
	DeleteRegValue HKCU "${CLASSES}\.mov\OpenWithProgids" "${KIND}"
	DeleteRegKey HKCU "${KEPT}"
	DeleteRegKey HKCU "Software\Turngauge"
	System::Call 'shell32::SHChangeNotify(i 0x08000000, i 0, p 0, p 0)'
SectionEnd
